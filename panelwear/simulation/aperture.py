"""Which pixels a probe sees: a disc over the pixel grid, each pixel weighted by the share of it inside."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]

_SUB_ROWS = 16


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """The pixels under an aperture; parts beyond the screen's edge see nothing."""

    rows: NDArray[np.intp]
    columns: NDArray[np.intp]
    weights: Real
    """Add up to 1 when the whole disc lies on the screen, to less at the edge."""


def seen_pixels(at_px: tuple[float, float], diameters_px: tuple[float, float], width_px: int, height_px: int) -> Seen:
    """Weigh the pixels under a disc.

    The overlap is exact along rows and by at least 16 sub-rows a pixel across them.

    Args:
        at_px: centre; pixel edges lie at whole numbers.
        diameters_px: of the disc along x and y (they differ where pixels are not square).
        width_px: of the screen.
        height_px: of the screen.
    """
    (cx, cy), (a, b) = at_px, (diameters_px[0] / 2, diameters_px[1] / 2)
    left, right = max(0, math.floor(cx - a)), min(width_px, math.ceil(cx + a))
    top, bottom = max(0, math.floor(cy - b)), min(height_px, math.ceil(cy + b))
    none = np.zeros(0, dtype=np.intp)
    if right <= left or bottom <= top:
        return Seen(none, none, np.zeros(0))
    columns = np.arange(left, right)
    first, last = math.floor(cy - b), math.ceil(cy + b)
    fine = max(_SUB_ROWS, math.ceil(4 * _SUB_ROWS / b))
    heights = (np.arange((last - first) * fine) + 0.5) / fine + first
    chord = a * np.sqrt(np.maximum(0.0, 1 - ((heights - cy) / b) ** 2))
    whole = 2 * chord.sum()
    chord = chord[(top - first) * fine : (bottom - first) * fine, None]
    overlap = np.minimum(columns + 1, cx + chord) - np.maximum(columns, cx - chord)
    shares = np.clip(overlap, 0, None).reshape(bottom - top, fine, -1).sum(axis=1) / whole
    inside_rows, inside_columns = np.nonzero(shares)
    return Seen(inside_rows + top, inside_columns + left, shares[inside_rows, inside_columns])


def disc_points(n: int = 97) -> Real:
    """Give ``(n, 2)`` points spread evenly over the unit disc (a sunflower), for sums without a pixel grid."""
    k = np.arange(n) + 0.5
    radius, angle = np.sqrt(k / n), k * math.pi * (3 - math.sqrt(5))
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=-1)
