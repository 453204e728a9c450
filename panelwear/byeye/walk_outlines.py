"""Outlines over a field of the walk: the shape being made, marks, what a list points at, our own pointer."""

from __future__ import annotations

from collections.abc import Iterable

from panelwear.readings.marks import MarkShape
from patterns.frame import Rect

Box = tuple[int, int, int, int]
POINTER_PX = 14
POINTER_SHARE = 1 / 60
"""Our pointer is a small square outline of so many pixels, or of so large a share of the screen's height."""
ROUND_PX = 3
"""So far outside what a list points at: the outline must not lie on the edge that is looked for."""


def boxes_of(shapes: Iterable[MarkShape]) -> tuple[Box, ...]:
    """Return the outlines of shapes."""
    return tuple(box for shape in shapes for box in shape.boxes())


def box_round(rect: Rect) -> Box:
    """Return the outline that points at a rectangle."""
    return (rect.x - ROUND_PX, rect.y - ROUND_PX, rect.w + 2 * ROUND_PX, rect.h + 2 * ROUND_PX)


def pointer_box(at: tuple[int, int], height: int) -> Box:
    """Return our own pointer; the system's is hidden, it would dazzle."""
    side = max(POINTER_PX, round(height * POINTER_SHARE))
    return (at[0] - side // 2, at[1] - side // 2, side, side)


def corner_beside(boxes: Iterable[Box], width: int) -> str:
    """Return the corner for a card that is read while something on the field is pointed at."""
    middles = [x + w / 2 for x, _, w, _ in boxes]
    return "top-right" if middles and sum(middles) / len(middles) < width / 2 else "bottom-left"
