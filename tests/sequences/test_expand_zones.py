"""Zones as visits zone, reference, reference, zone: nested, narrow, asked for in two ways."""

from __future__ import annotations

from itertools import groupby

import pytest

from patterns.frame import Rect
from sequences.expand import expand, expand_noted
from sequences.model import PanelFacts, PutProbe, Read, Step, Zone
from sequences.reader import load
from tests.sequences.expanding import group, reads, sequence
from tests.sequences.panels import harbour_desk


def visits_of(steps: tuple[Step, ...]) -> list[tuple[str, list[str]]]:
    found = []
    for _, visited in groupby(reads(steps), key=lambda step: step.visit):
        listed = list(visited)
        found.append((listed[0].patch.place.name, [step.pair for step in listed if step.pair]))
    return found


def test_zones_are_read_zone_reference_reference_zone() -> None:
    text = group('group = "zones"; names = ["vessel-list", "clock-badge"]; codes = [64, 128]')
    steps = expand(sequence(text), harbour_desk(), 1)
    assert visits_of(steps) == [
        (place, [f"{zone}.{k}"] * 2)
        for zone in ("vessel-list", "clock-badge")
        for k, place in enumerate((zone, "chart", "chart", zone), start=1)
    ]
    placed = [step for step in steps if isinstance(step, PutProbe)]
    assert len(placed) == 8
    assert all(step.lift_first for step in placed)


def test_zone_and_reference_see_the_same_frame_at_the_same_codes() -> None:
    steps = reads(
        expand(sequence(group('group = "zones"; names = ["clock-badge"]; codes = [64, 128]')), harbour_desk(), 1)
    )
    shown = {(s.patch.pattern, s.patch.parameters, s.patch.background) for s in steps}
    assert shown == {("field", (), (0.0, 0.0, 0.0))}
    assert [s.patch.level.label for s in steps] == ["c64", "c128"] * 4


@pytest.mark.parametrize("order", ["as-written", "shuffled"])
@pytest.mark.parametrize("nested", ["true", "false"])
@pytest.mark.parametrize("aperture_mm", [10, 30])
def test_linear_drift_cancels_for_every_zone_and_colour(order: str, nested: str, aperture_mm: float) -> None:
    """[(Y1 - Y2) - (Y3 - Y4)] / 2 of readings that drift by one unit a patch (NIST/SEMATECH e-Handbook, 2.3.3.1.2)."""
    text = group(f'group = "zones"; codes = [32, 64, 128]; hues = ["grey", "blue"]; nested = {nested}')
    steps = reads(expand(sequence(text, f'order = "{order}"\n'), harbour_desk(aperture_mm=aperture_mm), 3))
    times: dict[tuple[str, str, str], dict[str, int]] = {}
    for time, step in enumerate(steps):
        zone, _, k = step.pair.rpartition(".")
        times.setdefault((zone, step.patch.hue, step.patch.level.label), {})[k] = time
    assert len(times) == 4 * 6
    for t in times.values():
        assert t["1"] < t["2"] < t["3"] < t["4"]
        assert (t["1"] - t["2"]) - (t["3"] - t["4"]) == 0


def test_nested_zones_save_placements() -> None:
    text = group('group = "zones"; names = ["vessel-list", "clock-badge", "quay-camera"]; codes = [64]; nested = true')
    steps = expand(sequence(text), harbour_desk(), 1)
    assert [place for place, _ in visits_of(steps)] == [
        "clock-badge", "quay-camera", "vessel-list", "chart", "chart", "vessel-list", "quay-camera", "clock-badge",
    ]  # fmt: skip


def test_placements_bound_the_zones_in_the_order_of_the_panel_file() -> None:
    for nested, most, left in (("false", 9, "quay-camera, route-line"), ("true", 8, "route-line")):
        text = group(f'group = "zones"; codes = [64]; nested = {nested}; placements = {most}')
        steps, notes = expand_noted(sequence(text), harbour_desk(), 1)
        assert sum(isinstance(step, PutProbe) for step in steps) == 8
        assert notes == (f"{most} placements do not reach for {left}; the sequence 'zones' reads every zone",)


def test_colours_of_a_zone_from_two_groups_share_its_visits() -> None:
    text = group('group = "zones"; names = ["clock-badge"]; codes = [64]')
    text += group('group = "zones"; names = ["clock-badge"]; codes = [180]; hues = ["blue"]')
    assert len(visits_of(expand(sequence(text), harbour_desk(), 1))) == 4


def test_a_narrow_zone_is_read_through_strips_without_moving_the_probe() -> None:
    panel = harbour_desk(aperture_mm=30)
    steps, notes = expand_noted(sequence(group('group = "zones"; names = ["route-line"]; codes = [64]')), panel, 1)
    line = next(zone for zone in panel.zones if zone.name == "route-line").rect
    assert sum(isinstance(step, PutProbe) for step in steps) == 1
    assert [(s.pair, s.patch.geometry) for s in reads(steps)] == [
        ("route-line.1", "strip"),
        ("route-line.2", "strip-before"),
        ("route-line.3", "strip-after"),
        ("route-line.4", "strip"),
    ]
    strips = [dict(s.patch.parameters)["rect"] for s in reads(steps)]
    (x, _, w, _), (before, _, w1, _), (after, _, w2, _), _ = strips  # type: ignore[misc]
    assert line.x <= x
    assert x + w <= line.right
    assert w == w1 == w2
    assert before + w < line.x
    assert after > line.right
    radius_px = 30 / 596 * 1280 / 2
    assert after + w - line.centre[0] <= radius_px
    assert line.centre[0] - before <= radius_px
    assert "strips beside it" in notes[0]


def test_a_zone_as_wide_as_the_aperture_is_read_through_a_moved_strip() -> None:
    panel = harbour_desk(aperture_mm=10)
    steps = reads(expand(sequence(group('group = "zones"; names = ["route-line"]; codes = [64]')), panel, 1))
    assert [s.patch.geometry for s in steps] == ["strip", "strip-of-route-line", "strip-of-route-line", "strip"]
    line = next(zone for zone in panel.zones if zone.name == "route-line").rect
    (x, _, w, h), (_, _, w2, h2) = (dict(s.patch.parameters)["rect"] for s in steps[:2])  # type: ignore[misc]
    assert line.x < x
    assert x + w < line.right
    assert (w, h) == (w2, h2)


def test_a_narrow_zone_can_be_left_out_or_read_as_it_is() -> None:
    panel = harbour_desk(aperture_mm=10)
    names = 'names = ["route-line", "vessel-list"]'
    skipped, notes = expand_noted(sequence(group(f'group = "zones"; {names}; codes = [64]; narrow = "skip"')), panel, 1)
    assert {place for place, _ in visits_of(skipped)} == {"vessel-list", "chart"}
    assert notes == ("zone 'route-line' is narrower than 1.5 apertures of the probe and is left out",)
    whole = expand(sequence(group(f'group = "zones"; {names}; codes = [64]; narrow = "field"')), panel, 1)
    assert {step.patch.geometry for step in reads(whole)} == {"full"}


def test_a_reference_that_another_zone_covers_is_said() -> None:
    panel = harbour_desk()
    chart, *others = panel.zones
    covered = type(chart)("chart", chart.rect, (100.0, 100.0))
    odd = PanelFacts(1280, 720, panel.active_area_mm, zones=(covered, *others))
    _, notes = expand_noted(load("zones"), odd, 1)
    assert notes[0].startswith("the probe's place of zone 'chart' lies inside 'vessel-list'")


def test_a_slim_zone_is_named_while_the_aperture_is_unknown() -> None:
    _, notes = expand_noted(load("zones"), harbour_desk(), 1)
    assert len(notes) == 1
    assert notes[0].startswith("zone 'route-line' is 9.8 mm wide and the probe's aperture is not known")


LINE = Zone("line", Rect(1150, 0, 12, 1080), (1156.0, 540.0), "chart")
LINE_ON_CHART = PanelFacts(
    1920, 1080, (598.0, 336.0), zones=(Zone("chart", Rect(0, 0, 1920, 1080), (960.0, 540.0)), LINE), aperture_mm=20.0
)


def test_two_ways_to_read_a_narrow_zone_each_have_the_probe_where_they_need_it() -> None:
    """Strips are read without moving the probe, fields at the zone and its reference: they cannot share visits."""
    steps = expand(
        sequence(group('group = "zones"; codes = [128]') + group('group = "zones"; narrow = "field"; codes = [200]')),
        LINE_ON_CHART,
        1,
    )
    at = None
    seats: dict[str, list[str]] = {}
    for step in steps:
        if isinstance(step, PutProbe):
            at = step.place
        elif isinstance(step, Read):
            assert step.patch.place == at
            seats.setdefault(step.patch.level.label, []).append(step.patch.place.name)
    assert seats == {"c128": ["line"] * 4, "c200": ["line", "chart", "chart", "line"]}


def test_a_colour_asked_for_in_two_ways_is_read_in_the_first_and_that_is_said() -> None:
    steps, notes = expand_noted(
        sequence(group('group = "zones"; codes = [128]') + group('group = "zones"; narrow = "field"; codes = [128]')),
        LINE_ON_CHART,
        1,
    )
    assert [step.patch.geometry for step in reads(steps)] == ["strip", "strip-before", "strip-after", "strip"]
    assert "zone/line/grey/c128/full: is read once, as zone/line/grey/c128/strip, which was asked for first" in notes


def test_a_nested_and_a_plain_group_of_one_zone_stay_apart() -> None:
    steps = expand(
        sequence(group('group = "zones"; nested = true; codes = [60]') + group('group = "zones"; codes = [200]')),
        harbour_desk(),
        1,
    )
    by_visit = {}
    for step in reads(steps):
        by_visit.setdefault(step.visit, set()).add(step.patch.level.label)
    assert {frozenset(labels) for labels in by_visit.values()} == {frozenset({"c60"}), frozenset({"c200"})}
