"""The order zones are read in: as short as can be, and drift cancels for every zone as before."""

from __future__ import annotations

import itertools
import math
import random

import pytest

from patterns.frame import Rect
from sequences.expand import expand
from sequences.model import PanelFacts, Zone
from sequences.places import centre
from sequences.route import stops, way_mm
from sequences.zone_order import blocks_of, ordered
from sequences.zones import ZoneQuadruple
from tests.sequences.expanding import group, reads, sequence
from tests.sequences.panels import harbour_desk

SIZE = (1920, 1080)
PITCH_MM = (598.0 / SIZE[0], 336.0 / SIZE[1])


def panel(seed: int, count: int) -> PanelFacts:
    """Return a panel with zones anywhere on it, all compared with the first."""
    chance = random.Random(seed)
    rects = [Rect(chance.randrange(1800), chance.randrange(960), 120, 120) for _ in range(count + 1)]
    zones = tuple(Zone(f"z{n}", rect, rect.centre, "z0" if n else "") for n, rect in enumerate(rects))
    return PanelFacts(*SIZE, (598.0, 336.0), zones=zones)


def way(made: PanelFacts, *, nested: str, names: list[str] | None = None) -> float:
    wanted = f"names = {names}; " if names else ""
    steps = expand(sequence(group(f'group = "zones"; {wanted}codes = [128]; nested = {nested}')), made, 1)
    return way_mm(stops(steps, made))


def at_mm(made: PanelFacts, name: str) -> tuple[float, float]:
    x, y = next(zone.rect.centre for zone in made.zones if zone.name == name)
    return x * PITCH_MM[0], y * PITCH_MM[1]


def length_mm(made: PanelFacts, names: list[str]) -> float:
    """Return the way from zone to zone; the hand is not yet on the panel."""
    return sum(math.dist(at_mm(made, one), at_mm(made, other)) for one, other in itertools.pairwise(names))


@pytest.mark.parametrize("seed", range(12))
def test_a_nest_goes_the_shortest_way_there_is(seed: int) -> None:
    """All orders from the centre are tried: an independent answer."""
    made = panel(seed, 4)
    middle = (598.0 / 2, 336.0 / 2)
    best = min(
        math.dist(middle, at_mm(made, order[0])) + length_mm(made, [*order, "z0", "z0", *order[::-1]])
        for order in itertools.permutations([f"z{n}" for n in range(1, 5)])
    )
    first = next(stop for stop in _stops(made, "true"))
    assert math.dist(middle, first.at_mm) + way(made, nested="true") == pytest.approx(best)


def _stops(made: PanelFacts, nested: str):
    return stops(expand(sequence(group(f'group = "zones"; codes = [128]; nested = {nested}')), made, 1), made)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("nested", ["true", "false"])
def test_the_way_is_never_longer_than_in_the_order_of_the_file(seed: int, nested: str) -> None:
    made = panel(seed, 9)
    listed = [zone.name for zone in made.zones[1:]]
    if nested == "true":
        there = [*listed, "z0", "z0", *listed[::-1]]
    else:
        there = [place for name in listed for place in (name, "z0", "z0", name)]
    first = _stops(made, nested)[0]
    middle = (598.0 / 2, 336.0 / 2)
    taken = math.dist(middle, first.at_mm) + way(made, nested=nested)
    assert taken <= math.dist(middle, at_mm(made, listed[0])) + length_mm(made, there) + 1e-6


@pytest.mark.parametrize("nested", ["true", "false"])
def test_every_zone_is_still_read_zone_reference_reference_zone_with_nothing_between(nested: str) -> None:
    made = panel(3, 7)
    pairs = [
        step.pair
        for step in reads(expand(sequence(group(f'group = "zones"; codes = [128]; nested = {nested}')), made, 1))
        if step.pair
    ]
    order = list(dict.fromkeys(pair.rpartition(".")[0] for pair in pairs))
    assert sorted(order) == [f"z{n}" for n in range(1, 8)]
    assert order != sorted(order)
    if nested == "true":
        half = len(pairs) // 2
        mirrored = [f"{pair[:-1]}{5 - int(pair[-1])}" for pair in pairs[:half][::-1]]
        assert pairs[half:] == mirrored
    else:
        assert pairs == [f"{zone}.{k}" for zone in order for k in (1, 2, 3, 4)]


def test_the_order_is_the_same_whatever_the_evening_and_however_the_file_lists_the_zones() -> None:
    made = panel(5, 6)
    turned = PanelFacts(*SIZE, (598.0, 336.0), zones=(made.zones[0], *made.zones[:0:-1]))
    text = sequence(group('group = "zones"; codes = [128]'))
    walked = [[stop.name for stop in stops(expand(text, one, seed), one)] for one in (made, turned) for seed in (1, 7)]
    assert walked[0] == walked[1] == walked[2] == walked[3]


def test_the_scenario_is_walked_shorter_than_in_the_order_of_its_file() -> None:
    desk = harbour_desk()
    text = sequence(group('group = "zones"; codes = [128]'))
    listed = [zone.name for zone in desk.zones if zone.reference]
    in_file = [place for name in listed for place in (name, "chart", "chart", name)]
    pitch = [size / pixels for size, pixels in zip(desk.active_area_mm, (desk.width_px, desk.height_px), strict=True)]
    at = {z.name: (z.probe_at_px[0] * pitch[0], z.probe_at_px[1] * pitch[1]) for z in desk.zones}
    as_listed = sum(math.dist(at[one], at[other]) for one, other in itertools.pairwise(in_file))
    assert way_mm(stops(expand(text, desk, 1), desk)) < 0.95 * as_listed


def test_nothing_to_order_is_no_fault() -> None:
    none: list[ZoneQuadruple] = []
    assert ordered(blocks_of(none), centre(harbour_desk()), PITCH_MM) == ()
