from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from panelwear.byeye.unworn_places import overlaps, unworn_pair, unworn_place
from patterns.frame import Rect

WIDTH, HEIGHT = 1920, 1080
RECTS = st.builds(Rect, st.integers(0, 1800), st.integers(0, 1000), st.integers(1, 120), st.integers(1, 80))


def test_the_mirrored_place_comes_first() -> None:
    zone = Rect(1600, 50, 200, 100)
    assert unworn_place(zone, [], WIDTH, HEIGHT) == Rect(120, 50, 200, 100)
    assert unworn_place(zone, [Rect(0, 0, 400, 200)], WIDTH, HEIGHT) == Rect(1600, 930, 200, 100)


def test_a_zone_that_is_the_ground_of_others_makes_no_place_worn() -> None:
    zone = Rect(100, 100, 50, 50)
    assert unworn_place(zone, [Rect(0, 0, WIDTH, HEIGHT)], WIDTH, HEIGHT) is not None


def test_a_zone_larger_than_half_the_screen_has_no_unworn_place() -> None:
    assert unworn_place(Rect(0, 0, 1100, 1080), [], WIDTH, HEIGHT) is None
    assert unworn_pair(Rect(0, 0, 1100, 1080), [], WIDTH, HEIGHT) is None


def test_a_pair_is_mirrored_and_at_the_zone_s_height_where_it_can() -> None:
    pair = unworn_pair(Rect(60, 200, 100, 60), [], WIDTH, HEIGHT, margin=8)
    assert pair is not None
    left, right = pair
    assert left.y == right.y == 200
    assert left.x + right.right == WIDTH


@given(RECTS, st.lists(RECTS, max_size=8))
def test_no_unworn_place_touches_the_zone_or_anything_worn(zone: Rect, worn: list[Rect]) -> None:
    single = unworn_place(zone, worn, WIDTH, HEIGHT, margin=4)
    pair = unworn_pair(zone, worn, WIDTH, HEIGHT, margin=4)
    assert single is not None, "small zones leave room"
    for place in (single, *(pair or ())):
        assert (place.w, place.h) == (zone.w, zone.h)
        assert min(place.x, place.y, WIDTH - place.right, HEIGHT - place.bottom) >= 0
        assert not any(overlaps(place, other, 4) for other in [zone, *worn])
