"""Block arrows as rectangles, beside a place: which way to move what lies there."""

from __future__ import annotations

from patterns.frame import Rect
from patterns.place import nearest

LONG_MM = 24.0
"""From tail to tip."""
HEAD_MM = 10.0
SHAFT_MM = 4.0
"""Length of the head and thickness of the shaft."""


def arrow_rects(
    size_px: tuple[int, int],
    at_px: tuple[float, float],
    axis: str,
    way: int,
    *,
    per_mm: tuple[float, float],
    clear_mm: float,
) -> list[Rect]:
    """Make an arrow beside a place, clear of what lies on it, on the side of the nearer edge where there is room.

    Words about it stand in the corner farthest from the place, so an arrow on the other side stays in sight.

    Args:
        size_px: Width and height of the screen.
        at_px: The place.
        axis: ``x`` for an arrow to the left or right, which stands above or below the place; ``y`` for one up or
            down, beside it.
        way: 1 to the right or down, -1 to the left or up.
        per_mm: Pixels in a millimetre, x and y.
        clear_mm: Distance of the arrow's axis from the place.

    Returns:
        Rectangles one row or column of the head each, and the shaft; those outside the screen are cut or left out.
    """
    along, across = (0, 1) if axis == "x" else (1, 0)
    needed = (clear_mm + HEAD_MM) * per_mm[across]
    nearer = 1 if at_px[across] > size_px[across] / 2 else -1
    room = size_px[across] - at_px[across] if nearer > 0 else at_px[across]
    side = nearer if room >= needed else -nearer
    line = at_px[across] + side * clear_mm * per_mm[across]
    tip = at_px[along] + way * LONG_MM / 2 * per_mm[along]
    pieces = [_piece(tip - way * LONG_MM * per_mm[along], tip - way * HEAD_MM * per_mm[along], SHAFT_MM)]
    head_px = max(2, nearest(HEAD_MM * per_mm[along]))
    pieces += [
        _piece(tip - way * step, tip - way * (step + 1), 1.2 * HEAD_MM * (step + 0.5) / head_px)
        for step in range(head_px)
    ]
    rects = []
    for low, high, thick_mm in pieces:
        half = max(0.5, thick_mm / 2 * per_mm[across])
        spans = [(low, high), (line - half, line + half)]
        x, y = spans if axis == "x" else reversed(spans)
        rect = _cut(x, y, size_px)
        if rect is not None:
            rects.append(rect)
    return rects


def _piece(one: float, other: float, thick_mm: float) -> tuple[float, float, float]:
    return min(one, other), max(one, other), thick_mm


def _cut(x: tuple[float, float], y: tuple[float, float], size_px: tuple[int, int]) -> Rect | None:
    left, right = max(0, nearest(x[0])), min(size_px[0], nearest(x[1]))
    top, bottom = max(0, nearest(y[0])), min(size_px[1], nearest(y[1]))
    return Rect(left, top, right - left, bottom - top) if right > left and bottom > top else None
