"""How good a rank tile is, and how ours was found (``benchmarks/rank_tile.py`` runs the search again).

A grain is judged by what an eye or a small probe sees: discs. Over a disc of 21 pixels (349 of them) the share of
pixels that are up should be the fraction asked for, at every fraction and every place.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from patterns.mix import RANKS, SIDE

DISC_PX = 21


def disc(diameter_px: int = DISC_PX) -> NDArray[np.bool_]:
    """Return the pixels of a disc round pixel (0, 0), ``(64, 64)``, wrapped round the tile's edges."""
    line = np.minimum(np.arange(SIDE), SIDE - np.arange(SIDE))
    inside: NDArray[np.bool_] = 4 * (line[:, None] ** 2 + line[None, :] ** 2) <= diameter_px**2
    return inside


def worst_in_discs(tile: NDArray[np.uint16], diameter_px: int = DISC_PX) -> NDArray[np.float64]:
    """Return, for each of the 4096 fractions, how many pixels too many or too few the worst disc of all 4096 holds.

    Divide by the disc's pixels for the error as a share of one code step.
    """
    area = disc(diameter_px)
    spectrum = np.fft.rfft2(area)
    worst = np.empty(RANKS)
    for first in range(0, RANKS, 128):
        counts = np.arange(first, first + 128)
        up = (tile[None, :, :] < counts[:, None, None]).astype(np.float64)
        found = np.fft.irfft2(np.fft.rfft2(up) * spectrum, s=(SIDE, SIDE))
        wanted = counts[:, None, None] * (area.sum() / RANKS)
        worst[first : first + 128] = np.abs(found - wanted).max(axis=(1, 2))
    return worst
