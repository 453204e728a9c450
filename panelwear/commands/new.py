"""Make a panel folder: the place where everything about one display is kept."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.errors import Stopped, UsageError
from panelwear.telling.out import tell
from panelwear.telling.parts import Exactly, Prose

if TYPE_CHECKING:
    from sequences.model import Zone

CALIBRATION_XY = 0.002
"""What a reference laboratory reaches for a colorimeter (NIST display colorimeter facility, k = 1)."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="folder to make")
    parser.add_argument("--name", help="what you call the panel (asked for when left out)")
    parser.add_argument("--pixels", metavar="WxH", help="the panel's own pixels, such as 3840x2160")
    parser.add_argument("--area-mm", metavar="WxH", help="lit area in millimetres, such as 596.7x335.7")
    parser.add_argument("--diagonal-inch", type=float, metavar="D", help="diagonal instead of --area-mm")
    parser.add_argument("--refresh-hz", type=float, default=60.0)
    parser.add_argument("--distance-mm", type=float, default=600.0, help="where the eyes are (default 600)")
    parser.add_argument("--peak-cd-m2", type=float, default=250.0, help="peak as far as you know (default 250)")
    parser.add_argument("--notes", default="")
    parser.add_argument("--instrument", default="", metavar="NAME|FILE", help="how the probe is spoken to")
    parser.add_argument("--probe", default="", metavar="URL", help="where the probe is: device path, COM3, socket://…")
    parser.add_argument("--aperture-mm", type=float, default=10.0, help="diameter of the probe's spot (default 10)")
    parser.add_argument(
        "--calibration-xy",
        type=float,
        metavar="U",
        help=f"how well the probe's certificate knows x and y, standard uncertainty ({CALIBRATION_XY:g})",
    )
    parser.add_argument(
        "--demo-zones", action="store_true", help="fill in the zones of the invented harbour-desk panel"
    )


def _pair(text: str, option: str, kind: type) -> tuple[float, float]:
    try:
        first, second = (kind(part) for part in text.lower().replace(",", ".").split("x"))
    except ValueError:
        raise UsageError(f"{option} '{text}': expected two numbers with an x between, such as 3840x2160") from None
    if not (first > 0 and second > 0):
        raise UsageError(f"{option} '{text}': both must be above 0")
    return first, second


def _asked(value: str | None, text: str) -> str:
    if value:
        return value
    if not sys.stdin.isatty():
        raise UsageError(f"{text} is missing; give it as an option (see --help)")
    try:
        said = input(f"{text}: ").strip()
    except EOFError:
        raise Stopped("the answers ended; nothing was made") from None
    if not said:
        raise UsageError(f"{text}: nothing was typed; nothing was made")
    return said


def _calibration_xy(arguments: argparse.Namespace, asks: bool) -> float:
    """Return what the certificate says of x and y; asked for only where a person answers questions already."""
    if arguments.calibration_xy is not None or not asks:
        return CALIBRATION_XY if arguments.calibration_xy is None else float(arguments.calibration_xy)
    try:
        said = input(
            "how well the probe knows x and y, from its certificate (half of its ± at 95 %; Return: "
            f"{CALIBRATION_XY:g}, what a reference laboratory reaches): "
        ).strip()
    except EOFError:
        raise Stopped("the answers ended; nothing was made") from None
    try:
        return float(said.replace(",", ".")) if said else CALIBRATION_XY
    except ValueError:
        raise UsageError(f"x and y '{said}': expected a number such as {CALIBRATION_XY:g}; nothing was made") from None


def _area(arguments: argparse.Namespace, width: float, height: float) -> tuple[float, float]:
    if arguments.diagonal_inch is not None:
        if not arguments.diagonal_inch > 0:
            raise UsageError(f"--diagonal-inch {arguments.diagonal_inch:g}: wanted a number above 0")
        per_px = arguments.diagonal_inch * 25.4 / (width**2 + height**2) ** 0.5
        return round(width * per_px, 2), round(height * per_px, 2)
    return _pair(_asked(arguments.area_mm, "lit area in mm, WxH"), "--area-mm", float)


def run(arguments: argparse.Namespace) -> int:
    """Make the folder and say what comes next."""
    from panelwear.upkeep.create import PanelSpec, new_panel

    asks = not (arguments.name and arguments.pixels) and sys.stdin.isatty()
    name = _asked(arguments.name, "what you call the panel")
    width, height = _pair(_asked(arguments.pixels, "the panel's pixels, WxH"), "--pixels", int)
    zones: tuple[Zone, ...] = ()
    if arguments.demo_zones:
        from panelwear.simulation.usage import harbour_desk_zones

        zones = harbour_desk_zones(int(width), int(height))
    spec = PanelSpec(
        name=name,
        width_px=int(width),
        height_px=int(height),
        active_area_mm=_area(arguments, width, height),
        refresh_hz=arguments.refresh_hz,
        distance_mm=arguments.distance_mm,
        peak_cd_m2=arguments.peak_cd_m2,
        notes=arguments.notes,
        zones=zones,
        instrument=arguments.instrument,
        link=arguments.probe,
        aperture_mm=arguments.aperture_mm,
        calibration_xy=_calibration_xy(arguments, asks),
    )
    new_panel(arguments.directory, spec)
    made = Prose(f"made {arguments.directory}: look through panel.toml (zones!) and probe.toml, then", aside=True)
    tell([made, Exactly((f"  panelwear inspect {arguments.directory} --hours H --dry-run",), aside=True)],
         quiet=arguments.quiet)  # fmt: skip
    return 0
