"""Rectangles under a hand stay whole on the panel, whatever the hand does."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwear.zoning.rects import GRIPS, LEAST_PX, grip_at, grips_of, moved, resized, spanned
from patterns.frame import Rect

PANEL = (200, 100)
BOX = Rect(50, 20, 80, 40)
far = st.integers(-500, 500)
rects = st.builds(spanned, st.tuples(st.integers(-20, 220), st.integers(-20, 120)), st.tuples(far, far), st.just(PANEL))


def is_on_the_panel(rect: Rect) -> bool:
    return rect.x >= 0 and rect.y >= 0 and rect.right <= PANEL[0] and rect.bottom <= PANEL[1]


@given(rects)
def test_a_drawn_rectangle_lies_on_the_panel_and_can_be_found_again(rect: Rect) -> None:
    assert is_on_the_panel(rect)
    assert rect.w >= LEAST_PX and rect.h >= LEAST_PX


@given(rects, far, far)
def test_a_moved_one_keeps_its_size_and_stays_on_the_panel(rect: Rect, right: int, down: int) -> None:
    there = moved(rect, right, down, PANEL)
    assert (there.w, there.h) == (rect.w, rect.h)
    assert is_on_the_panel(there)


@given(rects, st.sampled_from(GRIPS), far, far)
def test_a_pulled_one_keeps_the_opposite_edge(rect: Rect, grip: str, right: int, down: int) -> None:
    there = resized(rect, grip, right, down, PANEL)
    assert is_on_the_panel(there)
    assert there.w >= LEAST_PX and there.h >= LEAST_PX
    if "e" in grip:
        assert there.x == rect.x
    if "w" in grip or "e" not in grip:
        assert there.right == rect.right
    if "s" in grip:
        assert there.y == rect.y
    if "n" in grip or "s" not in grip:
        assert there.bottom == rect.bottom


def test_one_that_is_smaller_already_is_not_made_larger() -> None:
    assert resized(Rect(10, 10, 2, 50), "s", 0, 5, PANEL) == Rect(10, 10, 2, 55)


def test_a_drag_from_any_corner_gives_the_same_rectangle() -> None:
    for one, other in (((10, 20), (60, 50)), ((60, 50), (10, 20)), ((10, 50), (60, 20))):
        assert spanned(one, other, PANEL) == Rect(10, 20, 50, 30)


@pytest.mark.parametrize(("grip", "at"), grips_of(BOX).items())
def test_every_grip_is_found_where_it_stands(grip: str, at: tuple[int, int]) -> None:
    assert grip_at(BOX, at, 6) == grip


@pytest.mark.parametrize("at", [(90, 40), (50 + 7, 20 + 7), (30, 40), (90, 70), (43, 13)])
def test_inside_and_outside_there_is_none(at: tuple[int, int]) -> None:
    assert grip_at(BOX, at, 6) == ""


def test_a_small_one_can_still_be_moved_by_its_middle() -> None:
    assert grip_at(Rect(50, 50, 9, 9), (54, 54), 6) == ""
