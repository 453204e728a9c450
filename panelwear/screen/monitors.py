"""Which monitors there are: number, name where it can be known, pixels and position."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import dataclass, replace

_OUTPUT = re.compile(r"^(\S+) connected (primary )?(\d+)x(\d+)\+(\d+)\+(\d+)( \w+)?")
_SIZE = re.compile(r" (\d+)mm x (\d+)mm$")
LEAST_MM = 50.0
"""Less is no monitor's height."""
ASPECT_RATIOS = {(160.0, 90.0), (160.0, 100.0), (1600.0, 900.0), (1600.0, 1000.0)}
"""Ratios that stand in some EDIDs in the place of millimetres."""
_MODE = re.compile(r"^\s+(\d+)x(\d+)\S*\s.*\*")


@dataclass(frozen=True, slots=True)
class Monitor:
    """One monitor, numbered as ``--screen`` counts."""

    number: int
    width_px: int
    height_px: int
    name: str = ""
    """Name of the output; empty when the system does not tell."""
    position_px: tuple[int, int] | None = None
    scaled: bool = False
    """True when the desktop, not the panel, decides what a pixel is."""
    size_mm: tuple[float, float] | None = None
    """Lit area as the monitor itself tells (its EDID); ``None`` when it does not, or tells a mere aspect ratio."""


@dataclass(frozen=True, slots=True)
class Output:
    """One output as the X server describes it."""

    name: str
    primary: bool
    width_px: int
    height_px: int
    position_px: tuple[int, int]
    mode_px: tuple[int, int] | None
    """Pixels of the mode the output runs in; differs from the size when the server scales."""
    size_mm: tuple[float, float] | None = None
    """Lit area as the monitor's EDID has it."""

    @property
    def scaled(self) -> bool:
        """Whether the server resamples (a quarter turn is no scaling)."""
        size = (self.width_px, self.height_px)
        return self.mode_px is not None and self.mode_px not in {size, size[::-1]}


def read_outputs(text: str) -> list[Output]:
    """Read the X server's list of outputs (``xrandr --current``), the primary one first."""
    outputs: list[Output] = []
    for line in text.splitlines():
        if match := _OUTPUT.match(line):
            name, primary, *numbers = match.groups()[:6]
            w, h, x, y = map(int, numbers)
            outputs.append(Output(name, bool(primary), w, h, (x, y), None, _size_mm(line)))
        elif (mode := _MODE.match(line)) and outputs and outputs[-1].mode_px is None:
            last = outputs[-1]
            outputs[-1] = replace(last, mode_px=(int(mode[1]), int(mode[2])))
    return sorted(outputs, key=lambda output: not output.primary)


def _size_mm(line: str) -> tuple[float, float] | None:
    """Read the size at a line's end; an EDID may hold 0, or an aspect ratio such as 160 x 90."""
    found = _SIZE.search(line)
    if found is None:
        return None
    width, height = float(found[1]), float(found[2])
    if min(width, height) < LEAST_MM or (width, height) in ASPECT_RATIOS:
        return None
    return width, height


def x_outputs() -> list[Output]:
    """Ask the X server for its outputs; empty when there is no way to."""
    tool = shutil.which("xrandr")
    if tool is None:
        return []
    try:
        done = subprocess.run([tool, "--current"], capture_output=True, text=True, timeout=5, check=False)
    except (OSError, subprocess.TimeoutExpired):
        return []
    return read_outputs(done.stdout) if done.returncode == 0 else []


def number_monitors(sizes: list[tuple[int, int]], outputs: list[Output], scaled: list[bool]) -> list[Monitor]:
    """Put the drawing library's monitors and the X server's outputs together.

    Both list the primary one first and keep the server's order; where the sizes disagree no name is given.
    """
    fits = len(outputs) == len(sizes) and all(
        (o.width_px, o.height_px) == size for o, size in zip(outputs, sizes, strict=True)
    )
    monitors = []
    for number, (size, zoomed) in enumerate(zip(sizes, scaled, strict=True)):
        output = outputs[number] if fits else None
        monitors.append(
            Monitor(
                number,
                *size,
                name=output.name if output else "",
                position_px=output.position_px if output else ((0, 0) if len(sizes) == 1 else None),
                scaled=zoomed or (output is not None and output.scaled),
                size_mm=output.size_mm if output else None,
            )
        )
    return monitors


def list_monitors() -> list[Monitor]:
    """List the monitors of the display in use.

    Raises:
        ScreenFault: there is no display.
    """
    from panelwear.screen import driver

    pygame = driver.load(off_screen=False)
    return monitors_of(pygame)


def monitors_of(pygame: object) -> list[Monitor]:
    """List the monitors with the drawing library started already."""
    from panelwear.screen import driver

    display = pygame.display  # type: ignore[attr-defined]
    found = [driver.native_size(pygame, number) for number in range(len(display.get_desktop_sizes()))]
    outputs = x_outputs() if display.get_driver() == "x11" else []
    return number_monitors([size for size, _ in found], outputs, [zoomed for _, zoomed in found])
