"""The maps of a panel folder's checkpoints."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import replace
from pathlib import Path

from panelwear.camera.field_map import FieldMap
from panelwear.camera.framing import elsewhere
from panelwear.camera.map_files import MAPS, load_map
from panelwear.camera.wear.findings import MapEnd, PhotographPair, pairs_of
from panelwear.compare.comparison import Comparison, End
from panelwear.errors import FileFault, PanelwearError
from panelwear.folder.checkpoint import Checkpoint, survey
from panelwear.folder.files import load_json
from panelwear.folder.map_faults import READ, UNFINISHED
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
    made: list[PhotographPair] = []
    for word, first, last in chosen_pairs([one.end.name for one in ends], since, until):
        before, after, why = from_one_place(ends[first], ends[last])
        compared = pairs_of((before, after), panel.zones, known=known, level=level)
        made += [replace(one, since=word, not_compared=(*one.not_compared, *why)) for one in compared]
    return tuple(made)


def chosen_pairs(names: Sequence[str], since: str | None, until: str | None) -> list[tuple[str, int, int]]:
    """Return which checkpoints are compared: the newest with the first and with the last before, or those asked for.

    Args:
        names: of the checkpoints with maps, oldest first.
        since: name of the earlier one.
        until: name of the later one.

    Returns:
        ``baseline``, ``last`` or ``chosen``, and the two numbers; nothing where an end has no maps.
    """
    if any(one is not None and one not in names for one in (since, until)):
        return []
    last = names.index(until) if until is not None else len(names) - 1
    if since is None:
        return [("baseline", 0, last)] * (last > 0) + [("last", last - 1, last)] * (last > 1)
    first = names.index(since)
    return [("chosen", first, last)] if first < last else []


def from_one_place(before: MapEnd, after: MapEnd) -> tuple[MapEnd, MapEnd, tuple[str, ...]]:
    """Hold the places the camera stood at against each other, where the lens's fall-off is in the maps of both.

    Returns:
        Both ends without maps that cannot be divided, the later's uncertainty of slow gradients enlarged by what the
        lens leaves; and why which are left out, a sentence's words each.
    """
    then = {one.shot.name: one for one in before.maps}
    gone: dict[str, str] = {}
    kept = []
    for one in after.maps:
        other = then.get(one.shot.name)
        if other is None or {one.shading, other.shading} != {"same-set-up"} or one.set_up != other.set_up:
            kept.append(one)
            continue
        means = elsewhere(other.framing, one.framing)
        if means.refused:
            gone[one.shot.name] = f"{one.shot.name}: {means.said}"
            continue
        cautions = (*one.cautions, means.said) if means.said else one.cautions
        kept.append(replace(one, u_slow=math.hypot(one.u_slow, means.u_slow), cautions=cautions))
    earlier = tuple(one for one in before.maps if one.shot.name not in gone)
    return replace(before, maps=earlier), replace(after, maps=tuple(kept)), tuple(gone.values())


def row_from_one_place(ends: Sequence[MapEnd]) -> tuple[MapEnd, ...]:
    """Leave out of a row of checkpoints the maps that cannot be divided by the first's."""
    return (*ends[:1], *(from_one_place(ends[0], one)[1] for one in ends[1:]))


def _maps(one: Checkpoint) -> tuple[tuple[FieldMap, ...], list[str]]:
    folder = one.directory / MAPS
    if _is_unfinished(folder / READ):
        return (), [f"{one.name}: {MAPS}/{READ}: {UNFINISHED}"]
    maps, faults = [], []
    for path in sorted(folder.glob("*.json")):
        if path.name == READ:  # how they were read, and no map
            continue
        try:
            maps.append(load_map(path))
        except FileFault as fault:
            faults += [f"{one.name}: {problem}" for problem in fault.problems]
    return tuple(maps), faults


def _is_unfinished(path: Path) -> bool:
    """Tell whether the reading that wrote the maps was killed; other faults of its record say nothing about them."""
    try:
        told = load_json(path) if path.is_file() else {}
    except PanelwearError:
        return False
    return isinstance(told, dict) and bool(told.get("unfinished"))
