"""Draw the zones on the panel itself: drag, move, resize, name them; the probe's aperture is drawn to scale."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.telling.out import tell
from panelwear.telling.parts import Prose, paragraphs

if TYPE_CHECKING:
    from panelwear.folder.panel import Panel
    from panelwear.zoning.costs import Read
    from panelwear.zoning.fits import Probe


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder (panelwear new)")
    parser.add_argument("--list", action="store_true", help="print the zones and leave; no screen is needed")
    parser.add_argument(
        "--trace", metavar="FILE", type=Path, help="screenshot or photograph of the usual desktop, dimmed beneath"
    )
    parser.add_argument("--screen", type=int, metavar="N", help="monitor, as 'panelwear screens' counts")
    parser.add_argument("--borderless", action="store_true", help="a frameless window, for stubborn window managers")


def run(arguments: argparse.Namespace) -> int:
    """Print the zones, or open the screen and let them be drawn."""
    from panelwear.folder.files import expect_panel_folder
    from panelwear.folder.zone_file import read_zone_file

    expect_panel_folder(arguments.directory)
    if arguments.list:
        from panelwear.zoning.table import table_of

        panel = read_zone_file(arguments.directory).panel
        tell(table_of(panel.name, panel.zones, probe_of(panel)))
        return 0
    return _draw(arguments)


def _draw(arguments: argparse.Namespace) -> int:
    from groundwork.clock import RealClock
    from panelwear.folder.lock import hold
    from panelwear.folder.zone_file import read_zone_file
    from panelwear.run.opening import Wishes, open_visible
    from panelwear.zoning.drawing import Drawing
    from panelwear.zoning.trace import traced
    from panelwear.zoning.view import Surroundings

    with hold(arguments.directory):
        file = read_zone_file(arguments.directory)
        panel, probe = file.panel, probe_of(file.panel)
        size = (panel.width_px, panel.height_px)
        backdrop, told = traced(arguments.trace, size) if arguments.trace else (None, "")
        read = read_of(panel)
        if told:
            tell([Prose(told)])
        wishes = Wishes(screen=arguments.screen, borderless=arguments.borderless)
        with open_visible(panel, wishes) as (screen, _):
            drawing = Drawing(screen, RealClock(), file, Surroundings(panel.name, probe, backdrop), read)
            try:
                drawing.run()
            finally:
                tell(paragraphs(*(drawing.told or ["panel.toml was not changed"])))
    return 0


def probe_of(panel: Panel) -> Probe:
    """Return the probe's aperture on this panel; one is assumed where ``probe.toml`` states none."""
    from panelwear.folder.files import load_toml
    from panelwear.folder.panel import load_probe_settings
    from panelwear.zoning.fits import Probe

    settings = load_probe_settings(panel.directory)
    path = panel.directory / "probe.toml"
    stated = path.exists() and "aperture_mm" in load_toml(path)
    return Probe(settings.aperture_mm, panel.pitch_mm, assumed=not stated)


def read_of(panel: Panel) -> Read:
    """Look up at which checkpoints the zones were read."""
    from panelwear.folder.checkpoint import survey
    from panelwear.zoning.costs import read_zones

    found, lost = survey(panel.directory)
    return read_zones(found, [one.name for one in lost], [zone.name for zone in panel.zones])
