"""Sensitivity of chromaticity to X, Y, Z, in closed form (JCGM 100, 5.1.3), to carry a 3 x 3 covariance along."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Real = NDArray[np.float64]


def jacobian_uv_prime(XYZ: ArrayLike) -> Real:
    """Return d(u', v') / d(X, Y, Z) as ``(2, 3)``."""
    X, Y, Z = np.asarray(XYZ, dtype=np.float64)
    D = X + 15 * Y + 3 * Z
    u, v = 4 * X / D, 9 * Y / D
    return np.asarray(np.array([[4 - u, -15 * u, -3 * u], [-v, 9 - 15 * v, -3 * v]]) / D)


def jacobian_xy(XYZ: ArrayLike) -> Real:
    """Return d(x, y) / d(X, Y, Z) as ``(2, 3)``."""
    X, Y, Z = np.asarray(XYZ, dtype=np.float64)
    S = X + Y + Z
    x, y = X / S, Y / S
    return np.asarray(np.array([[1 - x, -x, -x], [-y, 1 - y, -y]]) / S)


def carried(jacobian: Real, covariance: ArrayLike) -> Real:
    """Return J C Jᵀ."""
    return np.asarray(jacobian @ np.asarray(covariance, dtype=np.float64) @ jacobian.T, dtype=np.float64)


def tristimulus_per_xy(XYZ: ArrayLike) -> Real:
    """Return d(X, Y, Z) / d(x, y) at constant luminance as ``(..., 3, 2)``; zero where there is no chromaticity."""
    values = np.asarray(XYZ, dtype=np.float64)
    X, Y, Z = np.moveaxis(values, -1, 0)
    total = X + Y + Z
    lit = (total > 0) & (Y > 0)
    S, L = np.where(lit, total, 1.0), np.where(lit, Y, 1.0)
    x, y = X / S, L / S
    zero = np.zeros_like(x)
    by_x = np.stack([L / y, zero, -L / y], axis=-1)
    by_y = np.stack([-x * L / y**2, zero, -(1 - x) * L / y**2], axis=-1)
    return np.asarray(np.where(lit[..., None, None], np.stack([by_x, by_y], axis=-1), 0.0), dtype=np.float64)
