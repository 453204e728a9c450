"""Uniformity over sampled points; every function takes ``(..., n)`` and gives ``(...)``."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Real = NDArray[np.float64]


def _points(values: ArrayLike) -> Real:
    return np.asarray(values, dtype=np.float64)


def min_over_max(luminance_cd_m2: ArrayLike) -> Real:
    """Return the sampled uniformity L_min / L_max (IDMS)."""
    L = _points(luminance_cd_m2)
    return np.asarray(L.min(axis=-1) / L.max(axis=-1))


def deviation_from_median(luminance_cd_m2: ArrayLike) -> Real:
    """Return the largest distance from the median as a share of it (AAPM Report 270)."""
    L = _points(luminance_cd_m2)
    middle = np.median(L, axis=-1, keepdims=True)
    return np.asarray((np.abs(L - middle) / middle).max(axis=-1))


def deviation_from(luminance_cd_m2: ArrayLike, centre_cd_m2: ArrayLike) -> Real:
    """Return the largest distance from the centre as a share of it (ISO 12646)."""
    centre = _points(centre_cd_m2)[..., None]
    return np.asarray((np.abs(_points(luminance_cd_m2) - centre) / centre).max(axis=-1))


def colour_spread(uv_prime: ArrayLike) -> Real:
    """Return the largest Δu'v' between any two points of ``(..., n, 2)`` (IDMS)."""
    points = _points(uv_prime)
    apart = points[..., :, None, :] - points[..., None, :, :]
    return np.asarray(np.linalg.norm(apart, axis=-1).max(axis=(-1, -2)))


def variance_without_noise(log_luminance: ArrayLike, noise_variance: float) -> Real:
    """Return the variance of ln L over points less what the measurement adds; may come out below 0 on an even panel.

    Unlike min over max, noise does not bias it.
    """
    return np.asarray(np.var(_points(log_luminance), axis=-1, ddof=1) - noise_variance)


def left_right(left_cd_m2: ArrayLike, right_cd_m2: ArrayLike) -> Real:
    """Return ln(L_left / L_right), the mean over mirrored points."""
    return np.asarray((np.log(_points(left_cd_m2)) - np.log(_points(right_cd_m2))).mean(axis=-1))
