"""Places are called what a person calls them, and no two points of a grid alike."""

from __future__ import annotations

import pytest

from patterns import grid_points, zone_centres
from sequences.expand import expand
from sequences.place_names import numbered, place_name, route, told_place
from sequences.reader import load
from tests.sequences.panels import harbour_desk


@pytest.mark.parametrize(
    ("place", "name"),
    [
        ("centre", "centre"),
        ("x500y500", "centre"),
        ("x100y900", "lower left"),
        ("x900y100", "upper right"),
        ("x500y100", "upper middle"),
        ("x100y500", "middle left"),
        ("x300y100", "upper left, 30 % across, 10 % down"),
        ("x450y550", "near the centre, 45 % across, 55 % down"),
        ("vessel-list", "vessel-list"),
    ],
)
def test_a_place_is_named_in_words(place: str, name: str) -> None:
    assert place_name(place) == name


@pytest.mark.parametrize("points", [5, 9, 13, 25])
def test_no_two_points_of_a_grid_have_one_name(points: int) -> None:
    names = [place_name(point.name) for point in grid_points(points, 1280, 720)]
    assert len({*names}) == points
    assert len({place_name(point.name) for point in zone_centres(1280, 720)}) == 9


def test_places_are_numbered_in_the_order_of_the_route_and_keep_their_number() -> None:
    places = route(expand(load("checkpoint"), harbour_desk(), 1))
    assert places[0] == "centre"
    assert len({*places}) == len(places)
    assert [numbered(name, places) for name in places] == [
        f"place {n} of {len(places)}" for n in range(1, len(places) + 1)
    ]
    assert told_place("x100y900", places) == f"lower left, place {places.index('x100y900') + 1} of {len(places)}"


def test_the_only_place_needs_no_number() -> None:
    assert told_place("centre", ("centre",)) == "centre"
    assert told_place("x100y900", ("centre", "chart")) == "lower left"
