"""Where things sit on a screen: rounding to whole pixels, windows round a centre, runs of a mask."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from patterns.errors import PatternError
from patterns.frame import Rect
from patterns.registry import Ground

Point = tuple[float, float]


def nearest(value: float) -> int:
    """Round to the nearest whole number, halves up (the same at every place, unlike ``round``)."""
    return math.floor(value + 0.5)


def borders(length: int, parts: int) -> list[int]:
    """Return the ``parts + 1`` borders that divide a length evenly, each the pixel nearest to its exact place."""
    return [(2 * i * length + parts) // (2 * parts) for i in range(parts + 1)]


def screen_rect(ground: Ground) -> Rect:
    """Return the whole screen."""
    return Rect(0, 0, ground.width, ground.height)


def centre_px(ground: Ground, at: Point | None, at_px: Point | None) -> Point:
    """Return a centre in pixels from a fraction of the screen or from pixels (which come first)."""
    if at_px is not None:
        if not (0 <= at_px[0] <= ground.width and 0 <= at_px[1] <= ground.height):
            raise PatternError(
                f"pattern {ground.pattern}: at_px = {at_px} lies outside the screen of {ground.width} x {ground.height}"
                f" pixels: 0 to {ground.width} and 0 to {ground.height}"
            )
        return at_px
    x, y = at if at is not None else (0.5, 0.5)
    return (x * ground.width, y * ground.height)


def round_centre(ground: Ground, centre: Point, w: int, h: int) -> Rect:
    """Return the rectangle of w x h pixels whose centre is nearest to a point, wholly on the screen.

    Raises:
        PatternError: when it does not fit there.
    """
    rect = Rect(nearest(centre[0] - w / 2), nearest(centre[1] - h / 2), w, h)
    if rect.x < 0 or rect.y < 0 or rect.right > ground.width or rect.bottom > ground.height:
        room = _room(ground, w, h)
        raise PatternError(
            f"pattern {ground.pattern}: {w} x {h} pixels round ({centre[0]:g}, {centre[1]:g}) do not fit on"
            f" {ground.width} x {ground.height}: {room}"
        )
    return rect


def _room(ground: Ground, w: int, h: int) -> str:
    if w > ground.width or h > ground.height:
        return f"at most {ground.width} x {ground.height} is allowed"
    return (
        f"the centre may be {w / 2:g} to {ground.width - w / 2:g} across and"
        f" {h / 2:g} to {ground.height - h / 2:g} down"
    )


def check_inside(ground: Ground, rect: Rect, name: str = "rect") -> Rect:
    """Return the rectangle when it lies on the screen.

    Raises:
        PatternError: when it does not.
    """
    if rect.x < 0 or rect.y < 0 or rect.right > ground.width or rect.bottom > ground.height or rect.area < 1:
        raise PatternError(
            f"pattern {ground.pattern}: {name} = [{rect.x}, {rect.y}, {rect.w}, {rect.h}] does not lie on the screen"
            f" of {ground.width} x {ground.height} pixels"
        )
    return rect


def clip(ground: Ground, rect: Rect) -> Rect | None:
    """Return the part of a rectangle that lies on the screen, or ``None``."""
    x, y = max(rect.x, 0), max(rect.y, 0)
    right, bottom = min(rect.right, ground.width), min(rect.bottom, ground.height)
    return Rect(x, y, right - x, bottom - y) if right > x and bottom > y else None


def grow(ground: Ground, rect: Rect, by: int) -> Rect:
    """Return the rectangle enlarged by so many pixels on each side, cut at the screen's edge."""
    return clip(ground, Rect(rect.x - by, rect.y - by, rect.w + 2 * by, rect.h + 2 * by)) or rect


def runs(mask: NDArray[np.bool_], x: int = 0, y: int = 0) -> tuple[Rect, ...]:
    """Return a mask as rectangles: runs of its rows, equal rows that follow each other taken together.

    Rectangles do not overlap and cover exactly the mask's true pixels, moved by (x, y).
    """
    found: list[Rect] = []
    top = 0
    while top < mask.shape[0]:
        bottom = top + 1
        while bottom < mask.shape[0] and np.array_equal(mask[bottom], mask[top]):
            bottom += 1
        edges = np.flatnonzero(np.diff(np.concatenate(([False], mask[top], [False])).astype(np.int8)))
        for left, right in zip(edges[0::2].tolist(), edges[1::2].tolist(), strict=True):
            found.append(Rect(x + left, y + top, right - left, bottom - top))
        top = bottom
    return tuple(found)
