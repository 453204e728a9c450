"""All that the photographs of two checkpoints say: zones with verdicts, regions nobody named, what does not compare."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from panelwear.camera.cautions_of import cautions_of
from panelwear.camera.field_map import FieldMap
from panelwear.camera.wear.background import BLIND, Flattened
from panelwear.camera.wear.beside import Beside, beside
from panelwear.camera.wear.cells import owners
from panelwear.camera.wear.contrast import contrast
from panelwear.camera.wear.pairing import ChangeMap, PairedMaps, as_it_stands, field_words, pair_maps
from panelwear.camera.wear.regions import Region, Search, find_regions
from panelwear.camera.wear.surround import Surround, surround_of
from panelwear.compare.change_table import WORTH
from panelwear.compare.comparison import End
from panelwear.compare.verdict import Judged, hochberg, holm, judge, p_of, simes
from panelwear.compare.zones import ZoneFinding
from panelwear.folder.zone_places import ZonePlace
from panelwear.uncertainty.estimate import Estimate
from sequences.model import Zone

FOR_SHOWING = "for showing only (a JPEG): no verdict"


@dataclass(frozen=True, slots=True, eq=False)
class MapEnd:
    """The maps of one checkpoint."""

    end: End
    maps: tuple[FieldMap, ...]
    zone_places: Mapping[str, tuple[ZonePlace, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ZoneOnField:
    """One zone on one field."""

    zone: str
    field: str
    against: str
    """What it is compared with, in words."""
    change: Estimate
    """Since the earlier checkpoint, %."""
    now: Estimate | None
    """As it stands, %; ``None`` where the lens's fall-off is still in the map."""
    judged: Judged | None
    """``None`` where no verdict may rest on the map."""
    beside: tuple[Beside, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class PhotographPair:
    """The photographs of two checkpoints compared."""

    since: str
    """``baseline`` (the first checkpoint with maps), ``last`` or ``chosen``."""
    before: End
    after: End
    zones: tuple[ZoneOnField, ...]
    regions: tuple[Region, ...]
    not_compared: tuple[str, ...]
    cautions: tuple[str, ...]
    fields: tuple[str, ...]
    """Fields that pair."""
    simulated: bool

    @property
    def blind(self) -> str:
        """What the search cannot see."""
        return BLIND


@dataclass(frozen=True, slots=True)
class _Asked:
    zone: int
    map: ChangeMap
    against: str
    change: Estimate
    now: Estimate | None

    @property
    def p(self) -> float:
        return math.nan if self.map.for_showing else p_of(self.change)


def compare_photographs(
    since: str,
    before: MapEnd,
    after: MapEnd,
    zones: Sequence[Zone],
    *,
    known: Mapping[str, ZoneFinding] | None = None,
    level: float = 0.95,
) -> PhotographPair:
    """Compare the photographs of two checkpoints.

    Every zone is one figure, tested over its fields (Simes); the zones are a family of their own beside that of the
    readings, in which the chance of any false "changed" is 1 - level (Holm). Which field it was is told by Hochberg.

    Args:
        since: which pair it is.
        before: the earlier one.
        after: the later one.
        zones: of the panel, as they lie now.
        known: what colorimeter and eye say of the zones between the same checkpoints.
        level: of the intervals.
    """
    paired = pair_maps(before.maps, after.maps)
    paired, other_size = _of_one_size(paired)
    search = find_regions([one for one in paired.changes if not one.for_showing], zones, 1 - level)
    moved = moved_sentences(before, after, zones)
    asked = _asked(paired.changes, after, zones, set(moved), search)
    return PhotographPair(
        since=since,
        before=before.end,
        after=after.end,
        zones=_judged(asked, zones, known or {}, level),
        regions=search.regions,
        not_compared=(*paired.not_paired, *other_size, *moved.values()),
        cautions=tuple(_cautions(paired.changes, (before, after))),
        fields=tuple(one.field for one in paired.changes),
        simulated=any(one.simulated for one in paired.changes),
    )


def _cautions(changes: Sequence[ChangeMap], ends: Sequence[MapEnd]) -> Iterator[str]:
    """Say what limits the maps that pair: of which checkpoint, of which fields."""
    pairing = {one.shot.name for one in changes}
    for end in ends:
        maps = [(field_words(one.shot), one) for one in end.maps if one.shot.pose == 0 and one.shot.name in pairing]
        yield from (f"{end.end.name}, {where}: {said}" for where, said in cautions_of(maps))


def _of_one_size(paired: PairedMaps) -> tuple[PairedMaps, tuple[str, ...]]:
    """Leave out maps whose panel has another size than the first's."""
    if not paired.changes:
        return paired, ()
    size = paired.changes[0].panel_px
    kept = tuple(one for one in paired.changes if one.panel_px == size)
    left = tuple(
        f"{one.shot.name}: other panel size than the fields before" for one in paired.changes if one not in kept
    )
    return replace(paired, changes=kept), left


def moved_sentences(before: MapEnd, after: MapEnd, zones: Sequence[Zone]) -> dict[str, str]:
    """Say of each zone that lay elsewhere at the earlier or later checkpoint that its change is not told."""
    found = {}
    for zone in zones:
        ends = [(one.end.name, one.zone_places.get(zone.name, ())) for one in (before, after)]
        here = [(name, place.said) for name, places in ends for place in places if place.rect != zone.rect]
        if here:
            name, was = here[0]
            found[zone.name] = (
                f"zone '{zone.name}' was moved, it lay at {was} at {name}: its light came from other pixels, so its "
                "change is not told"
            )
    return found


def _asked(
    changes: Sequence[ChangeMap], after: MapEnd, zones: Sequence[Zone], moved: set[str], search: Search
) -> list[_Asked]:
    if not changes:
        return []
    owner = owners(changes[0].panel_px, zones)
    flat = {one.map.shot.name: one for one in search.flat}
    later = {one.shot.name: as_it_stands(one) for one in after.maps}
    found = []
    for number, zone in enumerate(zones):
        cells = surround_of(number, zones, owner) if zone.reference and zone.name not in moved else None
        if cells is not None:
            found += [_on_field((number, zone), cells, (one, flat.get(one.shot.name)), later[one.shot.name])
                      for one in changes]  # fmt: skip
    return found


def _on_field(
    which: tuple[int, Zone], cells: Surround, maps: tuple[ChangeMap, Flattened | None], now: ChangeMap | None
) -> _Asked:
    one, flat = (maps[1].map, maps[1]) if maps[1] is not None else maps
    number, zone = which
    told = (f"photo/{zone.name}/{one.shot.name}", f"{zone.name}, {one.field}")
    change = contrast(one, cells.inside, cells.around, told, flat.noise if flat is not None else None)
    stands = contrast(now, cells.inside, cells.around, told) if now is not None else None
    return _Asked(number, one, cells.said(zone.reference), change, stands)


def _judged(
    asked: Sequence[_Asked], zones: Sequence[Zone], known: Mapping[str, ZoneFinding], level: float
) -> tuple[ZoneOnField, ...]:
    by_zone = {n: [one for one in asked if one.zone == n] for n in dict.fromkeys(one.zone for one in asked)}
    whole = holm([simes([one.p for one in parts]) for parts in by_zone.values()], 1 - level)
    found = []
    for (number, parts), is_real in zip(by_zone.items(), whole, strict=True):
        name = zones[number].name
        real = hochberg([one.p if is_real else math.nan for one in parts], 1 - level)
        for one, rejected in zip(parts, real, strict=True):
            judged = None
            if not one.map.for_showing:
                judged = judge(one.change, one.p, rejected, worth=WORTH["zone"], level=level)
            others = beside(one.map.shot, one.change, one.now, known.get(name))
            found.append(ZoneOnField(name, field_words(one.map.shot), one.against, one.change, one.now, judged, others))
    return tuple(found)


def pairs_of(
    ends: Sequence[MapEnd],
    zones: Sequence[Zone],
    *,
    since: str | None = None,
    until: str | None = None,
    known: Mapping[tuple[str, str], Mapping[str, ZoneFinding]] | None = None,
    level: float = 0.95,
) -> tuple[PhotographPair, ...]:
    """Compare the photographs of a panel: the newest since the first and since last time, or the pair asked for.

    Args:
        ends: checkpoints with maps, oldest first.
        zones: of the panel.
        since: name of the earlier checkpoint, by default both.
        until: name of the later one, by default the newest with maps.
        known: by names of earlier and later checkpoint, what colorimeter and eye say of the zones.
        level: of the intervals.

    Returns:
        No pair where an end that was asked for has no maps, or there are fewer than two.
    """
    names = [one.end.name for one in ends]
    if (since is not None and since not in names) or (until is not None and until not in names):
        return ()
    last = names.index(until) if until is not None else len(ends) - 1
    wanted = [("baseline", 0)] * (last > 0) + [("last", last - 1)] * (last > 1)
    if since is not None:
        wanted = [("chosen", names.index(since))] if names.index(since) < last else []
    return tuple(
        compare_photographs(
            word,
            ends[first],
            ends[last],
            zones,
            known=(known or {}).get((names[first], names[last])),
            level=level,
        )
        for word, first in wanted
    )
