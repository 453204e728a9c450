"""List regions that changed by the photographs and that no zone names, and make zones of those you choose."""

from __future__ import annotations

import argparse
import json
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.telling.out import tell
from panelwear.telling.parts import Part, Prose, paragraphs

if TYPE_CHECKING:
    from panelwear.camera.wear.findings import PhotographPair
    from panelwear.folder.panel import Panel
    from sequences.model import Zone


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder (panelwear new)")
    parser.add_argument("--from", dest="since", metavar="NAME", help="earlier checkpoint (the first with maps)")
    parser.add_argument("--to", dest="until", metavar="NAME", help="later checkpoint (the newest with maps)")
    parser.add_argument(
        "--add",
        metavar="NAME=N",
        action="append",
        default=[],
        help="write region number N as zone NAME into panel.toml; may be given several times",
    )
    parser.add_argument("--json", action="store_true", help="the regions as JSON")


def run(arguments: argparse.Namespace) -> int:
    """List the regions, or add zones."""
    from panelwear.errors import UsageError
    from panelwear.folder.panel import load_panel

    panel = load_panel(arguments.directory)
    pair = _pair(panel, arguments)
    if pair is None:
        raise UsageError(
            f"{arguments.directory}: no two checkpoints that were asked for have maps, which 'panelwear camera read' "
            "makes of photographs"
        )
    if arguments.json:
        from panelwear.camera.wear.told import photograph_tables

        print(json.dumps(photograph_tables([pair], 0.95)["photo-regions"].to_json(), ensure_ascii=False, indent=1))
        return 0
    if arguments.add:
        tell(_added(arguments.directory, pair, arguments.add))
        return 0
    tell(_listed(pair, panel, str(arguments.directory)))
    return 0


def _pair(panel: Panel, arguments: argparse.Namespace) -> PhotographPair | None:
    """Return the newest checkpoint with maps against the first one, or the pair that was asked for."""
    from panelwear.camera.map_folder import photographs_of
    from panelwear.figures.load import load_panel_evidence

    left_out = load_panel_evidence(panel.directory, ends_only=True).out
    pairs, faults = photographs_of(panel, None, since=arguments.since, until=arguments.until, left_out=left_out)
    if faults:
        tell(paragraphs(*(f"{sentence}." for sentence in faults)), file=sys.stderr)
    return pairs[0] if pairs else None


def _listed(pair: PhotographPair, panel: Panel, directory: str) -> list[Part]:
    from panelwear.camera.wear.told import head, region_grid

    said: list[Part] = [Prose(f"{panel.name}. {head(pair)}")]
    if not pair.regions:
        none = "No region outside the named zones changed beyond the noise (false discovery rate 5 %)."
        return [*said, *paragraphs(none, f"{pair.blind}.", *(f"{why}." for why in pair.not_compared))]
    across, down = panel.pitch_mm
    sizes = [f"{n}: {r.rect.w * across:.0f} mm × {r.rect.h * down:.0f} mm" for n, r in enumerate(pair.regions, start=1)]
    return [
        *said,
        region_grid(pair.regions),
        *paragraphs(
            f"Sizes: {', '.join(sizes)}. Changes are against what lies round the region; a region is chosen because it "
            "stands out, so its change is rather told too large than too small. Rectangles are a prior: what wears a "
            "panel is mostly drawn along rows and columns; 'fills' says how much of the rectangle stands out by more "
            "than half of its change.",
            f"False discovery rate 5 % over all fields. {pair.blind}.",
            *(f"{why}." for why in pair.not_compared),
            f"'panelwear camera zones {directory} --add NAME=1' makes a zone of the first one.",
        ),
    ]


def _added(directory: Path, pair: PhotographPair, wishes: list[str]) -> list[Part]:
    from panelwear.folder.lock import hold
    from panelwear.folder.zone_file import matched, read_zone_file, write_zones

    with hold(directory):
        file = read_zone_file(directory)
        zones = list(file.zones)
        said: list[Part] = []
        for wish in wishes:
            name, number = _wish(wish, pair, [zone.name for zone in zones])
            zone = zone_for(pair, number, name, file.panel)
            zones.append(zone)
            against = f", against '{zone.reference}'" if zone.reference else ", without a reference: name one there"
            r = zone.rect
            said.append(Prose(f"Zone '{name}': {r.x}, {r.y}, {r.w} × {r.h} px{against}; written into panel.toml"))
        write_zones(file, matched(zones, file.zones))
    return said


def _wish(wish: str, pair: PhotographPair, taken: list[str]) -> tuple[str, int]:
    from panelwear.errors import UsageError
    from panelwear.folder.panel import zone_name_faults

    found = re.fullmatch(r"(.+)=(\d{1,4})", wish)
    if found is None:
        raise UsageError(f"--add {wish}: wanted NAME=N, such as logo=1")
    name, number = found[1], int(found[2])
    for fault in zone_name_faults(name, taken):
        raise UsageError(f"--add {wish}: {fault}")
    if not 1 <= number <= len(pair.regions):
        there = f"there are {len(pair.regions)}, from 1" if pair.regions else "none was found"
        raise UsageError(f"--add {wish}: there is no region {number}; {there}")
    return name, number


def zone_for(pair: PhotographPair, number: int, name: str, panel: Panel) -> Zone:
    """Return the zone a region becomes: its reference is the zone it lies in, else the one most zones have."""
    from collections import Counter

    from sequences.model import Zone

    region = pair.regions[number - 1]
    common = Counter(zone.reference for zone in panel.zones if zone.reference).most_common(1)
    reference = region.inside or (common[0][0] if common else "")
    return Zone(name, region.rect, region.rect.centre, reference)
