"""The geometry frame: proves that every pixel arrives where it was put, not scaled and not cropped."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from patterns.errors import PatternError
from patterns.fields import make_frame
from patterns.frame import Fill, Frame
from patterns.place import runs, screen_rect
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
    quarter = _quarter(ground.width, ground.height)
    right = quarter[:, : ground.width // 2][:, ::-1]
    top = np.concatenate([quarter, right], axis=1)
    mask = np.concatenate([top, top[: ground.height // 2][::-1]], axis=0)
    _line_pairs(mask)
    fills = tuple(Fill(rect, ground.codes) for rect in runs(mask))
    return make_frame(ground, screen_rect(ground), fills, float(mask.mean()))


def _quarter(width: int, height: int) -> NDArray[np.bool_]:
    """Return the top left quarter of the mask, the middle row and column of odd sides with it."""
    w, h = (width + 1) // 2, (height + 1) // 2
    short = min(width, height)
    mask = np.zeros((h, w), dtype=np.bool_)
    mask[0, :] = mask[:, 0] = True
    mask[h - 1, w - width // 4 :] = True
    mask[h - height // 4 :, w - 1] = True
    arm = max(short // 16, 8)
    mask[8:11, 8 : 8 + arm] = mask[8 : 8 + arm, 8:11] = True
    return mask


def _line_pairs(mask: NDArray[np.bool_]) -> None:
    height, width = mask.shape
    side = max(min(width, height) // 8, 8)
    left, top = width // 8 - side // 2 + 2, height // 8 - side // 2 + 2
    left, top = max(left, 2), max(top, 2)
    y, x = (height - side) // 2, (width - side) // 2
    for x0 in (left, width - left - side):
        mask[y : y + side, x0 : x0 + side : 2] = True
    for y0 in (top, height - top - side):
        mask[y0 : y0 + side : 2, x : x + side] = True
