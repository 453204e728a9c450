"""A rectangle in one colour on another: zones, strips, and spots at a place."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from patterns.fields import AT, AT_PX, make_frame
from patterns.frame import Fill, Frame, Rect
from patterns.mix import mix_map
from patterns.parameters import Parameter
from patterns.place import Point, centre_px, check_inside, grow, round_centre, runs
from patterns.raster import paint
from patterns.registry import Ground, pattern


@pattern(
    "zone",
    "a rectangle in one colour on another, with a hard or a soft edge",
    Parameter("rect", "rect", "the rectangle in pixels", required=True),
    Parameter("soft_px", "number", "width in pixels of the soft edge; 0 is a hard one", 0.0, low=0, high=512),
)
def zone(ground: Ground, *, rect: Rect, soft_px: float) -> Frame:
    """Fill a rectangle, its edge hard or blurred.

    Geometry: with ``soft_px`` s the rectangle's mask is box-blurred over s pixels in both directions (what a pixel
    shift of that amplitude leaves on a panel): at the centre of a pixel it is the share of an interval of s pixels
    that lies on the rectangle, so it is one half on the edge itself. A side on the screen's own edge stays hard: there
    is nothing beyond to blur with. The colour goes from background to ``codes`` in proportion to the mask, in codes
    with a fraction (``patterns.mix``). ``lit_share``: the rectangle's area.
    Source: box blur as the model of pixel shift, own derivation.
    """
    check_inside(ground, rect)
    lit = rect.area / (ground.width * ground.height)
    if soft_px == 0:
        return make_frame(ground, rect, (Fill(rect, ground.codes),), lit, (("soft_px", 0.0),))
    pixels = np.empty((ground.height, ground.width, 3), dtype=np.uint8)
    paint(pixels, Rect(0, 0, ground.width, ground.height), ground.background)
    paint(pixels, rect, ground.codes)
    reach = int(np.ceil(soft_px / 2))
    for part in _edges(grow(ground, rect, reach), rect, reach):
        across = _blurred((part.x, part.right), (rect.x, rect.right), ground.width, soft_px)
        down = _blurred((part.y, part.bottom), (rect.y, rect.bottom), ground.height, soft_px)
        mask = (down[:, None] * across[None, :])[:, :, None]
        low, high = np.array(ground.background), np.array(ground.codes)
        pixels[part.y : part.bottom, part.x : part.right] = mix_map(low + (high - low) * mask, part)
    return make_frame(ground, rect, (), lit, (("soft_px", soft_px),), pixels=pixels)


def _edges(outer: Rect, rect: Rect, reach: int) -> list[Rect]:
    """Return the frame in which the mask is neither 0 nor 1, as up to four rectangles; all of it when it is narrow."""
    inner = Rect(rect.x + reach, rect.y + reach, rect.w - 2 * reach, rect.h - 2 * reach)
    if inner.w <= 0 or inner.h <= 0:
        return [outer]
    return [
        Rect(outer.x, outer.y, outer.w, inner.y - outer.y),
        Rect(outer.x, inner.bottom, outer.w, outer.bottom - inner.bottom),
        Rect(outer.x, inner.y, inner.x - outer.x, inner.h),
        Rect(inner.right, inner.y, outer.right - inner.right, inner.h),
    ]


def _blurred(span: tuple[int, int], sides: tuple[int, int], length: int, soft_px: float) -> NDArray[np.float64]:
    """Return the blurred mask along one direction at the pixels of ``span``."""
    left_end = -np.inf if sides[0] == 0 else float(sides[0])
    right_end = np.inf if sides[1] == length else float(sides[1])
    centres = np.arange(*span) + 0.5
    low = np.maximum(centres - soft_px / 2, left_end)
    high = np.minimum(centres + soft_px / 2, right_end)
    share: NDArray[np.float64] = np.clip((high - low) / soft_px, 0.0, 1.0)
    return share


@pattern(
    "strip",
    "a strip from edge to edge, or a rectangle, on the background",
    Parameter("rect", "rect", "the strip in pixels; without it, it goes from edge to edge at the place"),
    Parameter("direction", "choice", "along which way it runs", "vertical", choices=("vertical", "horizontal")),
    Parameter("thickness_px", "integer", "thickness in pixels", 64, low=1, high=8192),
    AT,
    AT_PX,
)
def strip(
    ground: Ground, *, rect: Rect | None, direction: str, thickness_px: int, at: Point, at_px: Point | None
) -> Frame:
    """Light a strip.

    Geometry: ``rect`` as it is, or ``thickness_px`` round the place and the screen's whole height (``vertical``) or
    width (``horizontal``). ``lit_share``: its area.
    Source: common practice, no source.
    """
    if rect is None:
        x, y = centre_px(ground, at, at_px)
        if direction == "vertical":
            rect = round_centre(ground, (x, ground.height / 2), thickness_px, ground.height)
        else:
            rect = round_centre(ground, (ground.width / 2, y), ground.width, thickness_px)
    check_inside(ground, rect)
    lit = rect.area / (ground.width * ground.height)
    return make_frame(ground, rect, (Fill(rect, ground.codes),), lit)


@pattern(
    "spot",
    "a disc or a square of a stated diameter at a place",
    Parameter(
        "diameter_px", "integer", "diameter of the disc, or side of the square, in pixels", 100, low=1, high=8192
    ),
    Parameter("shape", "choice", "disc or square", "disc", choices=("disc", "square")),
    AT,
    AT_PX,
)
def spot(ground: Ground, *, diameter_px: int, shape: str, at: Point, at_px: Point | None) -> Frame:
    """Light a disc or a square at a place, the rest in the background.

    Geometry: the square of ``diameter_px`` nearest to the place, wholly on the screen; a disc holds the pixels whose
    centres lie within half the diameter of that square's centre. ``rect``: the square; ``lit_share``: the pixels lit.
    Source: grid places, see ``patterns.grid``.
    """
    rect = round_centre(ground, centre_px(ground, at, at_px), diameter_px, diameter_px)
    parts = (rect,) if shape == "square" else runs(disc_mask(diameter_px), rect.x, rect.y)
    lit = sum(part.area for part in parts) / (ground.width * ground.height)
    fills = tuple(Fill(part, ground.codes) for part in parts)
    return make_frame(ground, rect, fills, lit, (("shape", shape),))


def disc_mask(diameter_px: int) -> NDArray[np.bool_]:
    """Return the pixels whose centres lie within half the diameter of the middle of a square of that side."""
    # Doubled coordinates keep the border exact: (2x + 1 - d)^2 + (2y + 1 - d)^2 <= d^2.
    line = (2 * np.arange(diameter_px, dtype=np.int64) + 1 - diameter_px) ** 2
    mask: NDArray[np.bool_] = line[:, None] + line[None, :] <= diameter_px**2
    return mask
