"""Spatial mix: a colour between two neighbouring drive levels, made of pixels at the one and at the other.

One 8-bit code near mid-grey is a step of about 1.7 % in luminance (2.2 / 128): too coarse for a match and for a
wanted luminance. So a code of 128.4375 puts 0.4375 of the pixels at 129 and the others at 128. The fraction is one of
light, not of code: the mean light lies exactly 0.4375 of the way between the light of the two codes, whatever the
panel's response (``light_of``, ``code_of``).

Which pixels those are is decided by one 64 x 64 tile of ranks 0..4095, each once, repeated over the screen from its
top left corner: the pixel is up where ``rank + 0.5 <= 4096 * fraction``. All three channels use the same ranks, so a
grey stays grey in every pixel. Any 64 x 64 pixels hold each rank once: the share is exact to 1/4096 of a code step.
What a smaller area can reach is bounded by its number of pixels (``achievable``).
"""

from __future__ import annotations

import io
import math
from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import NDArray

from patterns.frame import Codes, Picture, Rect

SIDE = 64
RANKS = SIDE * SIDE


@cache
def rank_tile() -> NDArray[np.uint16]:
    """Return the 64 x 64 ranks (read only); ``patterns.rank_tile`` says how they were found."""
    data = resources.files("patterns").joinpath("rank_tile.npy").read_bytes()
    tile: NDArray[np.uint16] = np.load(io.BytesIO(data), allow_pickle=False)
    tile.setflags(write=False)
    return tile


def achievable(n_pixels: int) -> float:
    """Return the finest step of light a zone of so many pixels can show, as a share of one code step.

    A zone of N pixels has only N + 1 mean levels between two codes, so nothing does better than 1/N; beyond 4096
    pixels the tile itself is the limit.
    """
    return 1.0 / min(max(int(n_pixels), 1), RANKS)


def is_whole(codes: Codes) -> bool:
    """Whether every channel is a whole code, so that no mix is needed."""
    return all(float(c).is_integer() for c in codes)


def mix(codes: Codes, rect: Rect) -> Picture:
    """Return the pixels of a rectangle in one colour, ``(h, w, 3)`` uint8.

    The tile is anchored to the screen's top left, not to the rectangle's, so neighbouring rectangles of one colour
    join without a seam, and moving a rectangle does not move the grain.
    """
    if is_whole(codes):
        return np.broadcast_to(np.array(codes, dtype=np.uint8), (rect.h, rect.w, 3))
    picture = np.empty((rect.h, rect.w, 3), dtype=np.uint8)
    spread(picture, rect, coloured_tile(codes))
    return picture


def spread(target: Picture, rect: Rect, tile: Picture) -> None:
    """Repeat a 64 x 64 tile, anchored to the screen's top left, over the pixels of a rectangle, in place."""
    rows = np.arange(rect.y, rect.y + min(SIDE, rect.h)) % SIDE
    columns = np.arange(rect.x, rect.x + rect.w) % SIDE
    band = tile[rows].take(columns, axis=1)
    for top in range(0, rect.h, SIDE):
        part = target[top : top + SIDE]
        part[...] = band[: part.shape[0]]


def mix_map(codes: NDArray[np.float64], rect: Rect) -> Picture:
    """Return the pixels of a rectangle whose colour changes from pixel to pixel.

    Args:
        codes: drive levels with fractions, broadcastable to ``(h, w, 3)``.
        rect: where on the screen it lies (for the tile's anchor).
    """
    low = np.floor(codes)
    counts = np.floor((codes - low) * RANKS + 0.5)
    rows = np.arange(rect.y, rect.y + rect.h) % SIDE
    columns = np.arange(rect.x, rect.x + rect.w) % SIDE
    ranks = rank_tile()[np.ix_(rows, columns)][:, :, None]
    picture: Picture = low.astype(np.uint8) + (ranks < counts)
    return picture


def coloured_tile(codes: Codes) -> Picture:
    """Return the tile in one colour, ``(64, 64, 3)`` uint8."""
    return mix_map(np.array(codes, dtype=np.float64), Rect(0, 0, SIDE, SIDE))


def light_of(code: float, gamma: float) -> float:
    """Return linear light 0..1 of a code: ``(code / 255) ** gamma`` at whole codes, straight lines between them.

    The straight line is what a spatial mix really gives. Power law: common form of a display's response.
    """
    low = math.floor(code)
    below = (low / 255.0) ** gamma
    if code == low:
        return float(below)
    return float(below + (code - low) * (((low + 1) / 255.0) ** gamma - below))


def code_of(light: float, gamma: float) -> float:
    """Return the code, with a fraction, whose light is wanted; the inverse of ``light_of`` for light 0..1."""
    if light <= 0.0:
        return 0.0
    if light >= 1.0:
        return 255.0
    low = min(math.floor(255.0 * light ** (1.0 / gamma)), 254)
    while low > 0 and light < (low / 255.0) ** gamma:
        low -= 1
    while low < 254 and light >= ((low + 1) / 255.0) ** gamma:
        low += 1
    below, above = (low / 255.0) ** gamma, ((low + 1) / 255.0) ** gamma
    return float(low + (light - below) / (above - below))
