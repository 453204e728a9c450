"""X, Y, Z for a small step of x, y, in closed form (JCGM 100, 5.1.3): what a meter states of x, y, carried over."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Real = NDArray[np.float64]


def tristimulus_per_xy(XYZ: ArrayLike) -> Real:
    """Return d(X, Y, Z) / d(x, y) at constant luminance as ``(..., 3, 2)``; zero where there is no chromaticity."""
    values = np.asarray(XYZ, dtype=np.float64)
    X, Y, Z = values[..., 0], values[..., 1], values[..., 2]
    total = X + Y + Z
    lit = (total > 0) & (Y > 0)
    S, L = np.where(lit, total, 1.0), np.where(lit, Y, 1.0)
    x, y = X / S, L / S
    found = np.zeros((*values.shape, 2))
    found[..., 0, 0], found[..., 2, 0] = L / y, -L / y
    found[..., 0, 1], found[..., 2, 1] = -x * L / y**2, -(1 - x) * L / y**2
    found[~lit] = 0.0
    return found
