"""Arrows stand beside what is to be moved: towards the nearer edge, where nothing is written."""

from __future__ import annotations

import pytest

from patterns.arrows import HEAD_MM, LONG_MM, arrow_rects
from patterns.frame import Rect

SIZE = (600, 340)
CLEAR_MM = 33.0


def span(rects: list[Rect]) -> tuple[int, int, int, int]:
    return (
        min(rect.x for rect in rects),
        min(rect.y for rect in rects),
        max(rect.right for rect in rects),
        max(rect.bottom for rect in rects),
    )


@pytest.mark.parametrize("way", [-1, 1])
@pytest.mark.parametrize(
    ("y", "above"),
    [(170.0, True), (120.0, True), (220.0, False), (20.0, False), (320.0, True)],
    ids=["middle", "upper half", "lower half", "upper edge", "lower edge"],
)
def test_an_arrow_to_the_side_stands_towards_the_nearer_edge_unless_it_has_no_room(
    y: float, above: bool, way: int
) -> None:
    rects = arrow_rects(SIZE, (300.0, y), "x", way, per_mm=(1.0, 1.0), clear_mm=CLEAR_MM)
    left, top, right, bottom = span(rects)
    assert (bottom <= y - CLEAR_MM + HEAD_MM) is above
    assert (top >= y + CLEAR_MM - HEAD_MM) is not above
    assert (right - left) == pytest.approx(LONG_MM, abs=1)
    assert top >= 0
    assert bottom <= SIZE[1]
    # The shaft is at the tail: it lies on the side the arrow comes from.
    shaft = max(rects, key=lambda rect: rect.w)
    assert (shaft.x + shaft.w / 2 < 300.0) is (way > 0)


@pytest.mark.parametrize(("x", "left_of_it"), [(300.0, True), (200.0, True), (400.0, False), (10.0, False)])
def test_an_arrow_up_stands_beside_in_the_same_way(x: float, left_of_it: bool) -> None:
    left, top, right, bottom = span(arrow_rects(SIZE, (x, 170.0), "y", -1, per_mm=(1.0, 1.0), clear_mm=CLEAR_MM))
    assert (right < x) is left_of_it
    assert (bottom - top) == pytest.approx(LONG_MM, abs=1)
    assert left >= 0
