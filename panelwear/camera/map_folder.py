"""The maps of a panel folder's checkpoints."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from pathlib import Path

from panelwear.camera.field_map import FieldMap
from panelwear.camera.map_files import MAPS, load_map
from panelwear.camera.wear.findings import MapEnd, PhotographPair, pairs_of
from panelwear.compare.comparison import Comparison, End
from panelwear.errors import FileFault
from panelwear.folder.checkpoint import Checkpoint, survey
from panelwear.folder.map_faults import READ
from panelwear.folder.panel import Panel
from panelwear.folder.zone_places import places_of


def map_ends(panel_dir: Path, left_out: Collection[str] = ()) -> tuple[tuple[MapEnd, ...], tuple[str, ...]]:
    """Read the maps of all checkpoints that have any.

    Args:
        panel_dir: the panel folder.
        left_out: names of checkpoints that give no verdict.

    Returns:
        Checkpoints with maps, in the order of their hours, and what could not be read, a sentence each.
    """
    there, _ = survey(panel_dir)
    found, faults = [], []
    for one in sorted(there, key=lambda c: c.hours):
        if one.name in left_out:
            continue
        maps, lost = _maps(one)
        faults += lost
        if maps:
            end = End(one.name, one.hours, str(one.record.get("started_utc", ""))[:10], one.use)
            found.append(MapEnd(end, maps, places_of(one.record["sessions"])))
    return tuple(found), tuple(faults)


def photographs_of(
    panel: Panel,
    found: Comparison | None,
    *,
    since: str | None = None,
    until: str | None = None,
    level: float = 0.95,
    left_out: Collection[str] = (),
) -> tuple[tuple[PhotographPair, ...], tuple[str, ...]]:
    """Compare the photographs of a panel folder, beside what its readings and the eye say.

    Args:
        panel: as ``panel.toml`` describes it.
        found: the comparison of its readings; ``None`` where nothing was read.
        since: name of the earlier checkpoint.
        until: name of the later one.
        level: of the intervals.
        left_out: names of checkpoints that give no verdict.

    Returns:
        The pairs, and what could not be read.
    """
    ends, faults = map_ends(panel.directory, left_out)
    return photographs_beside(ends, panel, found, since=since, until=until, level=level), faults


def photographs_beside(
    ends: Sequence[MapEnd],
    panel: Panel,
    found: Comparison | None,
    *,
    since: str | None = None,
    until: str | None = None,
    level: float = 0.95,
) -> tuple[PhotographPair, ...]:
    """Compare maps that were read already; all else as ``photographs_of``."""
    pairs = found.pairs if found is not None else ()
    known = {(p.before.name, p.after.name): {z.zone: z for z in p.zones} for p in pairs}
    return pairs_of(ends, panel.zones, since=since, until=until, known=known, level=level)


def _maps(one: Checkpoint) -> tuple[tuple[FieldMap, ...], list[str]]:
    maps, faults = [], []
    for path in sorted((one.directory / MAPS).glob("*.json")):
        if path.name == READ:  # how they were read, and no map
            continue
        try:
            maps.append(load_map(path))
        except FileFault as fault:
            faults += [f"{one.name}: {problem}" for problem in fault.problems]
    return tuple(maps), faults
