"""Labels of a picture moved apart until none lies over another; arithmetic alone."""

from __future__ import annotations

from collections.abc import Sequence

Box = tuple[float, float, float, float]
"""Left, bottom, right and top, in any one unit."""


def meet(one: Box, other: Box) -> bool:
    """Tell whether two boxes share more than an edge."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def shifts(wanted: Sequence[Box], bounds: Box, gap: float = 0.0) -> list[float]:
    """Return how far up each label is moved (down: below 0) so that it lies over none before it.

    Each stays as near to its wanted place as it can, inside the bounds from bottom to top; where there is no room left
    at all it stays where it was wanted.

    Args:
        wanted: Where the labels would stand; the first ones keep their places.
        bounds: Of the picture.
        gap: Least space between two labels.
    """
    placed: list[Box] = []
    found: list[float] = []
    for box in wanted:
        by = next((by for by in _tries(box, placed, gap) if _fits(box, by, placed, bounds)), 0.0)
        found.append(by)
        placed.append(_moved(box, by))
    return found


def _tries(box: Box, placed: Sequence[Box], gap: float) -> list[float]:
    """Return the moves that put a label just above or below those it may meet, nearest first."""
    beside = [other for other in placed if box[0] < other[2] and other[0] < box[2]]
    moves = [0.0, *(other[3] + gap - box[1] for other in beside), *(other[1] - gap - box[3] for other in beside)]
    return sorted(moves, key=abs)


def _moved(box: Box, by: float) -> Box:
    return (box[0], box[1] + by, box[2], box[3] + by)


def _fits(box: Box, by: float, placed: Sequence[Box], bounds: Box) -> bool:
    there = _moved(box, by)
    inside = by == 0.0 or (there[1] >= bounds[1] and there[3] <= bounds[3])
    return inside and not any(meet(there, other) for other in placed)
