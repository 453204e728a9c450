"""From a read step to visits: all patches of a place together, zones against their reference as Z R R Z."""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TypeVar

from sequences import geometry, places, zones
from sequences.errors import SequenceError
from sequences.geometry import FULL, window
from sequences.groups import patches_at, reads_of
from sequences.keys import PairKey
from sequences.model import Level, PanelFacts, Patch, Place
from sequences.nominal import code_of, drive, luminance_cd_m2
from sequences.schema import Grid, Group, ReadStep, Reference, Sequence, Zones
from sequences.zone_order import Block, blocks_of, ordered
from sequences.zones import ZoneQuadruple

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Visit:
    """What is read while the probe stays at one place."""

    place: Place
    patches: tuple[Patch, ...]
    pairs: tuple[str, ...]
    """Pair name of each patch; empty text for patches that belong to no quadruple."""
    lift_first: bool
    """Whether the probe is lifted even when it sits at this place already."""


def visits(
    step: ReadStep, here: Place, sequence: Sequence, panel: PanelFacts, seed: str
) -> tuple[tuple[Visit, ...], tuple[str, ...]]:
    """Plan a read step.

    Args:
        step: the step of the file.
        here: where the probe sits, and where patches without a place are read.
        sequence: the file, for its defaults.
        panel: the panel.
        seed: what a shuffled order is drawn from.

    Returns:
        The visits in order, the place where the probe sits first, and sentences about what was left out.
    """
    order = step.order or sequence.order
    by_place: dict[Place, list[Patch]] = {}
    for group in step.patches:
        if not isinstance(group, Zones):
            for place in _places_of(group, here, panel):
                by_place.setdefault(place, []).extend(patches_at(group, place, sequence, panel))
    planned, small = [], []
    for place in sorted(by_place, key=lambda p: p != here):
        patches, left_out = _seen_whole(_distinct(by_place[place]), panel)
        small += left_out
        if order == "shuffled":
            patches = _shuffled(patches, f"{seed}/{place.name}", sequence, panel)
        else:
            patches = _again(patches)
        planned.append(Visit(place, patches, ("",) * len(patches), False))
    zone_groups = [group for group in step.patches if isinstance(group, Zones)]
    quadruples, notes = zones.quadruples(zone_groups, sequence, panel)
    if order == "shuffled":
        quadruples = tuple(_reordered(quadruple, f"{seed}/{quadruple.zone}") for quadruple in quadruples)
    pitch_mm = (panel.active_area_mm[0] / panel.width_px, panel.active_area_mm[1] / panel.height_px)
    before = planned[-1].place if planned else here
    for block in ordered(blocks_of(quadruples), before, pitch_mm):
        planned += _zone_visits(block)
    return tuple(visit for visit in planned if visit.patches), (*small, *notes)


def reference_patch(reference: Reference, place: Place, sequence: Sequence, panel: PanelFacts) -> Patch:
    """Return the reference patch at a place: a window at the centre, a field elsewhere."""
    shown = window(place, reference.share) if place.name == "centre" and reference.share < 1 else FULL
    return Patch(
        group="reference",
        place=place,
        hue="grey",
        level=Level("code", reference.code),
        geometry=shown.label,
        purpose="reference",
        pattern=shown.pattern,
        parameters=shown.parameters,
        settle_s=sequence.reading.settle_s,
        integration_s=sequence.reading.integration_s,
        reads=reads_of(reference.reads),
    )


def with_reference(visit: Visit, reference: Patch, every: int) -> Visit:
    """Put the reference first, last, and after every so many patches (never within a strip's quadruple)."""
    in_place = len({pair[-2:] for pair in visit.pairs}) > 1
    patches: list[Patch] = [reference]
    pairs: list[str] = [""]
    since = 0
    for patch, pair in zip(visit.patches, visit.pairs, strict=True):
        inside = in_place and not pair.endswith(".1")
        if since >= every and not inside:
            patches.append(reference)
            pairs.append("")
            since = 0
        patches.append(patch)
        pairs.append(pair)
        since += 1
    return replace(visit, patches=(*patches, reference), pairs=(*pairs, ""))


def _places_of(group: Group, here: Place, panel: PanelFacts) -> tuple[Place, ...]:
    if isinstance(group, Grid):
        return places.grid(group.points, panel)
    return (places.named(group.place, panel) if group.place else here,)


def _distinct(patches: Iterable[Patch]) -> tuple[Patch, ...]:
    """Drop a patch asked for twice; two different ones under one key are a fault."""
    kept: dict[str, Patch] = {}
    for patch in patches:
        before = kept.setdefault(patch.key, patch)
        if before != patch:
            raise SequenceError((f"{patch.key}: is asked for twice in one visit, with different settings; drop one",))
    return tuple(kept.values())


def _seen_whole(patches: tuple[Patch, ...], panel: PanelFacts) -> tuple[tuple[Patch, ...], list[str]]:
    """Leave out what is smaller than the probe's aperture, where that is known, and say so."""
    kept, notes = [], []
    for patch in patches:
        across, down = geometry.lit_mm(patch, panel)
        if panel.aperture_mm is None or min(across, down) >= panel.aperture_mm:
            kept.append(patch)
        else:
            notes.append(
                f"{patch.key}: {across:.1f} x {down:.1f} mm is smaller than the probe's aperture of"
                f" {panel.aperture_mm:g} mm and is left out"
            )
    return tuple(kept), notes


def _shuffled(patches: tuple[Patch, ...], seed: str, sequence: Sequence, panel: PanelFacts) -> tuple[Patch, ...]:
    """Shuffle in blocks: dark, ordinary, bright, then loading as it stands; bright patches stay late."""
    blocks: list[list[Patch]] = [[], [], [], []]
    for patch in patches:
        blocks[_block(patch, sequence, panel)].append(patch)
    chance = random.Random(seed)
    drawn = [_again(_drawn(block, chance)) for block in blocks[:3]]
    return tuple(patch for block in (*drawn, blocks[3]) for patch in block)


def _again(patches: Iterable[Patch]) -> tuple[Patch, ...]:
    """Show what is to be shown again once all have been shown, in turned order, so that even drift cancels."""
    shown = list(patches)
    for number in range(1, max((patch.showings for patch in shown), default=1)):
        more = [patch for patch in dict.fromkeys(shown) if patch.showings > number]
        shown += more[::-1] if number % 2 else more
    return tuple(shown)


def _drawn(items: list[T], chance: random.Random) -> list[T]:
    """Shuffle by drawing a number for each: only ``random()`` promises the same numbers in every version of Python."""
    return sorted(items, key=lambda _: chance.random())


def _block(patch: Patch, sequence: Sequence, panel: PanelFacts) -> int:
    if patch.purpose == "loading":
        return 3
    if luminance_cd_m2(patch.level, patch.hue, panel) < sequence.dark.below_cd_m2:
        return 0
    return 2 if drive(code_of(patch.level, patch.hue, panel)) >= 0.5 else 1


def _reordered(quadruple: ZoneQuadruple, seed: str) -> ZoneQuadruple:
    return replace(quadruple, rows=tuple(_drawn(list(quadruple.rows), random.Random(seed))))


def _zone_visits(block: Block) -> list[Visit]:
    first = block[0]
    if first.in_place:
        names = [f"{first.zone}.{k}" for k in (1, 2, 3, 4)]
        patches = tuple(patch for row in first.rows for patch in row)
        return [Visit(patches[0].place, patches, tuple(names * len(first.rows)), True)]
    return _nest(block) if first.nested else [_zone_visit([first], k) for k in range(4)]


def _nest(nest: Block) -> list[Visit]:
    """Read Z1 Z2 R R Z2 Z1: the second half mirrors the first patch by patch, so linear drift cancels for each zone."""
    there = [_zone_visit([quadruple], 0) for quadruple in nest] + [_zone_visit(nest, 1)]
    back = [_zone_visit(nest, 2), *(_zone_visit([quadruple], 3) for quadruple in reversed(nest))]
    return there + [replace(v, patches=v.patches[::-1], pairs=v.pairs[::-1]) for v in back]


def _zone_visit(quadruples: Iterable[ZoneQuadruple], k: int) -> Visit:
    """Return the k-th visit (0..3) of quadruples that share it."""
    patches = tuple(row[k] for quadruple in quadruples for row in quadruple.rows)
    pairs = tuple(str(PairKey(quadruple.zone, k + 1)) for quadruple in quadruples for _ in quadruple.rows)
    return Visit(patches[0].place, patches, pairs, True)
