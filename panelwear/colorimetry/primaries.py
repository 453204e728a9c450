"""White as a sum of primaries: channel luminances, retention, and the white a worn panel must show.

Holds while the three channels simply add; a fourth sub-pixel or brightness limiting breaks it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Real = NDArray[np.float64]


def chromaticity_columns(xy: ArrayLike) -> Real:
    """Return (x/y, 1, (1 - x - y)/y) as columns, one a primary, of ``(k, 2)`` chromaticities."""
    x, y = np.asarray(xy, dtype=np.float64).T
    return np.stack([x / y, np.ones_like(x), (1 - x - y) / y])


def channel_luminances(primaries_xy: ArrayLike, white_XYZ: ArrayLike) -> Real:
    """Return the luminances ``(3,)`` of red, green and blue that add up to a white, in its unit."""
    white = np.asarray(white_XYZ, dtype=np.float64)
    return np.asarray(np.linalg.solve(chromaticity_columns(primaries_xy), white), dtype=np.float64)


def worn_white(primaries_xy: ArrayLike, luminances: ArrayLike, retention: ArrayLike) -> Real:
    """Return the white's X, Y, Z when each channel keeps a share of its luminance."""
    kept = np.asarray(luminances, dtype=np.float64) * np.asarray(retention, dtype=np.float64)
    return np.asarray(chromaticity_columns(primaries_xy) @ kept, dtype=np.float64)
