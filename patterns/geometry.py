"""The geometry frame: proves that every pixel arrives where it was put, not scaled and not cropped."""

from __future__ import annotations

from collections.abc import Iterator

from patterns.errors import PatternError
from patterns.fields import make_frame
from patterns.frame import Fill, Frame, Rect
from patterns.place import screen_rect
from patterns.registry import Ground, pattern

SMALLEST_PX = 64


@pattern(
    "geometry",
    "one-pixel outline, centre cross, corner marks and single-pixel line pairs",
    default_codes=(96.0, 96.0, 96.0),
)
def geometry(ground: Ground) -> Frame:
    """Draw the marks that show scaling, cropping and overscan.

    Geometry, all but the line pairs symmetric about the screen's middle: an outline of the outermost pixels; a cross
    through the middle, one pixel thick on an odd side and two on an even one, over the middle half of each side; at
    each corner, 8 pixels in, two arms of 1/16 of the shorter side (at least 8) by 3 pixels; about 1/8 of each side in
    from its ends a square of 1/8 of the shorter side (at least 8) of single-pixel line pairs (one lit, one not): left
    and right vertical lines, above and below horizontal ones. Scaled pairs turn into an even grey or into broad beats.
    A missing side of the outline is cropping. ``lit_share``: the pixels lit. Needs at least 64 x 64 pixels.
    Source: common practice, no source.
    """
    if min(ground.width, ground.height) < SMALLEST_PX:
        raise PatternError(
            f"pattern {ground.pattern}: needs at least {SMALLEST_PX} x {SMALLEST_PX} pixels, this screen has"
            f" {ground.width} x {ground.height}"
        )
    rects = tuple(_marks(ground.width, ground.height))
    lit = sum(rect.area for rect in rects) / (ground.width * ground.height)
    return make_frame(ground, screen_rect(ground), tuple(Fill(rect, ground.codes) for rect in rects), lit)


def _marks(width: int, height: int) -> Iterator[Rect]:
    """Yield all marks as rectangles that do not overlap, so that their areas add up."""
    yield Rect(0, 0, width, 1)
    yield Rect(0, height - 1, width, 1)
    yield Rect(0, 1, 1, height - 2)
    yield Rect(width - 1, 1, 1, height - 2)
    yield from _cross(width, height)
    yield from _corners(width, height)
    yield from _line_pairs(width, height)


def _cross(width: int, height: int) -> Iterator[Rect]:
    """Yield the centre cross: one bar from left to right, two from above and below up to it."""
    w, h = (width + 1) // 2, (height + 1) // 2
    left, top = w - width // 4, h - height // 4
    row, below = h - 1, height - h + 1
    yield Rect(left, row, width - 2 * left, below - row)
    yield Rect(w - 1, top, width - 2 * (w - 1), row - top)
    yield Rect(w - 1, below, width - 2 * (w - 1), height - top - below)


def _corners(width: int, height: int) -> Iterator[Rect]:
    """Yield two arms a corner, the standing one without the 3 x 3 pixels they share."""
    arm = max(min(width, height) // 16, 8)
    for near, far_y in ((True, 8), (False, height - 8 - 3)):
        y = 11 if near else height - 8 - arm
        for x, standing_x in ((8, 8), (width - 8 - arm, width - 11)):
            yield Rect(x, far_y, arm, 3)
            yield Rect(standing_x, y, 3, arm - 3)


def _line_pairs(width: int, height: int) -> Iterator[Rect]:
    """Yield the single-pixel lines of the four squares."""
    side = max(min(width, height) // 8, 8)
    left, top = max(width // 8 - side // 2 + 2, 2), max(height // 8 - side // 2 + 2, 2)
    y, x = (height - side) // 2, (width - side) // 2
    for x0 in (left, width - left - side):
        yield from (Rect(at, y, 1, side) for at in range(x0, x0 + side, 2))
    for y0 in (top, height - top - side):
        yield from (Rect(x, at, side, 1) for at in range(y0, y0 + side, 2))
