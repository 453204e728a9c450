"""Zones against their reference, so that drift cancels: zone, reference, reference, zone.

With linear drift, ``[(Y1 - Y2) - (Y3 - Y4)] / 2`` of equally spaced readings is free of it (NIST/SEMATECH e-Handbook of
Statistical Methods, 2.3.3.1.2). A zone about as wide as the probe's aperture is read through a lit strip inside it, and
the same strip on the reference; one so narrow that two more strips fit beside it inside the aperture is read against
those without moving the probe at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from groundwork.tables import nearest
from patterns.frame import Rect
from sequences import places
from sequences.errors import SequenceError
from sequences.geometry import FULL, PatchGeometry
from sequences.groups import levels, patch_of
from sequences.model import PanelFacts, Patch, Place, Zone
from sequences.schema import Sequence as SequenceFile
from sequences.schema import Zones

NARROW = 1.5
"""A zone is narrow below this many apertures: the probe cannot be set down on it by hand without seeing its edge."""
DOUBTFUL_MM = 15.0
"""With an unknown aperture, a zone under this is named: 1.5 apertures of a probe that sees 10 mm."""
INSET = 0.6
"""Width of the lit strip as a share of a narrow zone's: pixel shift leaves it inside the zone."""
GAP_PX = 4
"""Unlit pixels between a narrow zone and the strips beside it."""
LEAST_STRIP_PX = 4
NO_ZONES = "panel.toml names no zones; add [[zones]] blocks there to have them read"

Row = tuple[Patch, Patch, Patch, Patch]
ShownAt = tuple[PatchGeometry, Place]
Seats = tuple[ShownAt, ShownAt, ShownAt, ShownAt]


@dataclass(frozen=True, slots=True)
class ZoneQuadruple:
    """A zone's readings against its reference."""

    zone: str
    reference: str
    rows: tuple[Row, ...]
    """For each colour: zone, reference, reference, zone."""
    nested: bool = False
    """True when the zones of one reference are read as Z1 Z2 R R Z2 Z1, to save placements."""
    notes: tuple[str, ...] = ()
    """What the person should know of the way this zone is read."""

    @property
    def seats(self) -> tuple[Place, ...]:
        """Where the probe sits for each of the four, the same for every colour."""
        return tuple(patch.place for patch in self.rows[0])

    @property
    def in_place(self) -> bool:
        """True when the probe is not moved: strips beside the zone stand for the reference."""
        return self.rows[0][0].place == self.rows[0][1].place


def quadruples(
    groups: Iterable[Zones], sequence: SequenceFile, panel: PanelFacts
) -> tuple[tuple[ZoneQuadruple, ...], tuple[str, ...]]:
    """Return the quadruples of all zone groups and what was left out.

    Colours of one zone are read together where the probe sits at the same places for them.
    """
    found: dict[tuple[object, ...], ZoneQuadruple] = {}
    notes: list[str] = []
    for group in groups:
        if not panel.zones:
            notes.append(NO_ZONES)
        for quadruple in _within(group, _candidates(group, sequence, panel, notes), notes):
            notes += quadruple.notes
            new = _not_yet_read(quadruple, found.values(), notes)
            if new:
                way = (quadruple.zone, quadruple.seats, quadruple.nested)
                before = found[way].rows if way in found else ()
                found[way] = replace(quadruple, rows=before + new)
    return tuple(found.values()), tuple(dict.fromkeys(notes))


def _not_yet_read(quadruple: ZoneQuadruple, found: Iterable[ZoneQuadruple], notes: list[str]) -> tuple[Row, ...]:
    """Return the colours of a quadruple that no group before asked for; a second way to read one is said."""
    there = {(row[0].hue, row[0].level.label): row for q in found if q.zone == quadruple.zone for row in q.rows}
    new = []
    for row in quadruple.rows:
        before = there.get((row[0].hue, row[0].level.label))
        if before is None:
            new.append(row)
        elif [patch.key for patch in before] != [patch.key for patch in row]:
            notes.append(f"{row[0].key}: is read once, as {before[0].key}, which was asked for first")
    return tuple(new)


def placements(chosen: Sequence[ZoneQuadruple]) -> int:
    """Return how often the probe is set down for these quadruples."""
    still = sum(1 for q in chosen if q.in_place)
    moved = [q for q in chosen if not q.in_place]
    nests = {q.reference for q in moved if q.nested}
    return still + sum(2 if q.nested else 4 for q in moved) + 2 * len(nests)


def _within(group: Zones, candidates: list[ZoneQuadruple], notes: list[str]) -> list[ZoneQuadruple]:
    """Keep the zones that fit the placements a group may take, in the order of panel.toml."""
    if group.placements is None:
        return candidates
    kept: list[ZoneQuadruple] = []
    left: list[str] = []
    for quadruple in candidates:
        if placements([*kept, quadruple]) <= group.placements:
            kept.append(quadruple)
        else:
            left.append(quadruple.zone)
    if left:
        notes.append(
            f"{group.placements} placement{'s do' if group.placements != 1 else ' does'} not reach for "
            f"{', '.join(left)}; the sequence 'zones' reads every zone"
        )
    return kept


def _candidates(group: Zones, sequence: SequenceFile, panel: PanelFacts, notes: list[str]) -> list[ZoneQuadruple]:
    compared = {zone.name: zone for zone in panel.zones if zone.reference}
    if panel.zones and not compared:
        notes.append("no zone of panel.toml has a reference; without one there is nothing to compare it with")
        return []
    for name in group.names or () if panel.zones else ():
        if name not in compared:
            raise SequenceError((f"zones: '{name}' is no zone with a reference; {nearest(name, compared)}",))
    wanted = [zone for zone in compared.values() if group.names is None or zone.name in group.names]
    made = []
    for zone in wanted:
        said: list[str] = []
        rows = _rows(zone, group, sequence, panel, said)
        if rows:
            made.append(ZoneQuadruple(zone.name, zone.reference, rows, group.nested, tuple(said)))
        else:
            notes += said
    return made


def _rows(zone: Zone, group: Zones, sequence: SequenceFile, panel: PanelFacts, notes: list[str]) -> tuple[Row, ...]:
    seats = _seats(zone, group, panel, notes)
    if seats is None:
        return ()
    rows: list[Row] = []
    for hue in group.hues:
        for level in levels(group):
            z1, r1, r2, z2 = (
                patch_of(group, hue, level, shown, place, sequence=sequence, panel=panel) for shown, place in seats
            )
            rows.append((z1, r1, r2, z2))
    return tuple(rows)


def _seats(zone: Zone, group: Zones, panel: PanelFacts, notes: list[str]) -> Seats | None:
    """Return how and where each of the four is read; ``None`` when the zone is left out."""
    reference = next((z for z in panel.zones if z.name == zone.reference), None)
    if reference is None:
        raise SequenceError((f"zones: '{zone.name}' names '{zone.reference}' as its reference, which is no zone",))
    at, beside = places.of_zone(zone, panel), places.of_zone(reference, panel)
    notes += _covered(zone, panel) + _covered(reference, panel)
    if panel.aperture_mm is None and _short_mm(zone, panel) < DOUBTFUL_MM:
        notes.append(
            f"zone '{zone.name}' is {_short_mm(zone, panel):.1f} mm wide and the probe's aperture is not known;"
            " state aperture_mm in probe.toml, so that a probe wider than the zone is noticed"
        )
    if not _is_narrow(zone, panel) or group.narrow == "field":
        return ((FULL, at), (FULL, beside), (FULL, beside), (FULL, at))
    told = f"zone '{zone.name}' is narrower than {NARROW:g} apertures of the probe"
    if group.narrow == "skip":
        notes.append(f"{told} and is left out")
        return None
    strips = _beside(zone, panel)
    if strips is not None:
        notes.append(f"{told}: strips beside it stand for its reference, and the probe stays where it is")
        inside, before, after = strips
        return ((inside, at), (before, at), (after, at), (inside, at))
    notes.append(f"{told}: only a strip inside it is lit, and the same strip on '{reference.name}'")
    inside, outside = _moved(zone, at, beside, panel)
    return ((inside, at), (outside, beside), (outside, beside), (inside, at))


def _covered(zone: Zone, panel: PanelFacts) -> list[str]:
    """Say when a later zone lies over the place where a zone is read."""
    x, y = zone.probe_at_px
    later = panel.zones[panel.zones.index(zone) + 1 :]
    over = [z for z in later if z.rect.x <= x < z.rect.right and z.rect.y <= y < z.rect.bottom]
    return [
        f"the probe's place of zone '{zone.name}' lies inside '{z.name}'; give it another probe_at_px in panel.toml"
        for z in over
    ]


def _is_narrow(zone: Zone, panel: PanelFacts) -> bool:
    return panel.aperture_mm is not None and _short_mm(zone, panel) < NARROW * panel.aperture_mm


def _short_mm(zone: Zone, panel: PanelFacts) -> float:
    across = zone.rect.w * panel.active_area_mm[0] / panel.width_px
    down = zone.rect.h * panel.active_area_mm[1] / panel.height_px
    return min(across, down)


def _strip(label: str, rect: Rect) -> PatchGeometry:
    return PatchGeometry("strip", label, (("rect", (rect.x, rect.y, rect.w, rect.h)),))


def _aperture_px(panel: PanelFacts) -> float:
    return (panel.aperture_mm or 0.0) * panel.width_px / panel.active_area_mm[0]


def _beside(zone: Zone, panel: PanelFacts) -> tuple[PatchGeometry, PatchGeometry, PatchGeometry] | None:
    """Return strips in, before and after a zone, all inside the aperture; ``None`` when they do not fit."""
    rect, upright = zone.rect, zone.rect.h >= zone.rect.w
    narrow = rect.w if upright else rect.h
    wide = min(narrow, int(_aperture_px(panel) / 2 - narrow / 2) - GAP_PX)
    if wide < LEAST_STRIP_PX:
        return None
    start = (rect.x if upright else rect.y) + (narrow - wide) // 2
    before = (rect.x if upright else rect.y) - GAP_PX - wide
    after = (rect.right if upright else rect.bottom) + GAP_PX
    if before < 0 or after + wide > (panel.width_px if upright else panel.height_px):
        return None
    cut = [Rect(s, rect.y, wide, rect.h) if upright else Rect(rect.x, s, rect.w, wide) for s in (start, before, after)]
    return _strip("strip", cut[0]), _strip("strip-before", cut[1]), _strip("strip-after", cut[2])


def _moved(zone: Zone, at: Place, beside: Place, panel: PanelFacts) -> tuple[PatchGeometry, PatchGeometry]:
    """Return a strip inside a zone, and one of its size on the reference."""
    rect, upright = zone.rect, zone.rect.h >= zone.rect.w
    longest = max(int(3 * _aperture_px(panel)), 1)
    w = max(round(rect.w * INSET), 1) if upright else min(rect.w, longest)
    h = min(rect.h, longest) if upright else max(round(rect.h * INSET), 1)
    inside = _strip("strip", _round(at, w, h, panel))
    outside = _strip(f"strip-of-{zone.name}", _round(beside, w, h, panel))
    return inside, outside


def _round(place: Place, w: int, h: int, panel: PanelFacts) -> Rect:
    x = min(max(round(place.at_px[0] - w / 2), 0), panel.width_px - w)
    y = min(max(round(place.at_px[1] - h / 2), 0), panel.height_px - h)
    return Rect(x, y, w, h)
