"""The way of the hand: its order, its length, its drawing."""

from __future__ import annotations

import itertools
import math

import pytest

from panelwear.run.route_page import route_page
from panelwear.screen.page import Box, Dot, Drawing, Stroke
from patterns import grid_points
from sequences.expand import expand
from sequences.places import grid
from sequences.reader import load
from sequences.route import Stop, drawn, stops, told, way_mm
from tests.sequences.panels import harbour_desk

PANEL = harbour_desk()
PITCH_MM = (PANEL.active_area_mm[0] / PANEL.width_px, PANEL.active_area_mm[1] / PANEL.height_px)


def length_mm(places) -> float:
    at = [(x * PITCH_MM[0], y * PITCH_MM[1]) for x, y in (place.at_px for place in places)]
    return sum(math.dist(one, other) for one, other in itertools.pairwise(at))


@pytest.mark.parametrize("points", [5, 9])
def test_a_grid_is_walked_by_the_shortest_way_there_is(points: int) -> None:
    """All ways from the centre are tried: an independent answer."""
    places = grid(points, PANEL)
    best = min(length_mm((places[0], *rest)) for rest in itertools.permutations(places[1:]))

    assert places[0].name == "centre"
    assert length_mm(places) == pytest.approx(best)


@pytest.mark.parametrize(("points", "at_most"), [(5, 0.75), (9, 0.75), (13, 0.75), (25, 0.75)])
def test_the_way_is_a_quarter_shorter_than_row_by_row(points: int, at_most: float) -> None:
    rows: dict[float, list] = {}
    for point in grid_points(points, PANEL.width_px, PANEL.height_px):
        rows.setdefault(point.at_px[1], []).append(point)
    listed = [p for n, row in enumerate(rows.values()) for p in sorted(row, key=lambda p: p.at_px[0], reverse=n % 2)]
    by_row = sorted(listed, key=lambda point: point.name != "x500y500")

    places = grid(points, PANEL)
    assert {place.name for place in places} == {"centre", *(p.name for p in by_row[1:])}
    assert length_mm(places) < at_most * length_mm(by_row)


def test_the_drawing_has_every_placement_where_it_is() -> None:
    steps = expand(load("checkpoint"), PANEL, 1)
    lines = [*told(steps, PANEL)]

    assert lines[1] == lines[-2] == f"+{'-' * 61}+"
    inside = lines[2:-2]
    numbers = {number for line in inside for word in line.strip("|").split() for number in word.split(",")}
    assert numbers == {str(stop.number) for stop in stops(steps, PANEL)}
    corner = next(stop for stop in stops(steps, PANEL) if stop.name == "x900y100")
    assert str(corner.number) in inside[len(inside) // 10][45:]
    assert lines[-1].startswith("the hand goes ")


def test_the_way_is_measured_in_straight_lines_and_one_placement_has_none() -> None:
    route = (Stop(1, "a", (0.0, 0.0)), Stop(2, "b", (300.0, 400.0)), Stop(3, "c", (300.0, 0.0)))

    assert way_mm(route) == 900.0
    assert [*told(expand(load("spot"), PANEL, 1), PANEL)] == []
    assert [*drawn((), PANEL)] == []


def test_the_page_draws_the_same_route_to_scale() -> None:
    steps = expand(load("half-hour"), PANEL, 1)
    page = route_page("half-hour", steps, PANEL)
    (drawing,) = [part for part in page.parts if isinstance(part, Drawing)]
    (way,) = [shape for shape in drawing.shapes if isinstance(shape, Stroke)]

    assert drawing.aspect == pytest.approx(PANEL.active_area_mm[0] / PANEL.active_area_mm[1])
    assert len(way.through) == 5
    assert way.through[0] == (0.5, 0.5)
    assert [shape.at for shape in drawing.shapes if isinstance(shape, Box)] == [(0, 0, 1, 1)], "the panel's outline"
    assert [shape.label for shape in drawing.shapes if isinstance(shape, Dot)] == ["1", "2", "3", "4", "5"]
