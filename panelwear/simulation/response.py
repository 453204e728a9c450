"""Code response of the simulated panel: linear drive 0..1 of each channel for every code 0..255."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

Real = NDArray[np.float64]


def code_response(gamma: float, s_shape: float = 0.0) -> Real:
    """Give the 256 linear drives of one channel, 0 at code 0 and 1 at code 255, strictly rising.

    Args:
        gamma: exponent of the power law; real displays lie between 1.8 and 2.6.
        s_shape: 0 for a pure power; up to 0.9 steepens the middle and flattens both ends.
    """
    if not 0 <= s_shape < 1:
        raise ValueError(f"s_shape is {s_shape:g}; allowed are 0 up to below 1")
    v = np.arange(256) / 255
    bent = v - s_shape * np.sin(2 * math.pi * v) / (2 * math.pi)
    return np.asarray(bent**gamma)


def drives(curves: Real, codes: ArrayLike) -> Real:
    """Look whole or fractional codes ``(..., 3)`` up in curves ``(3, 256)``.

    A fractional code is a spatial mix of two neighbours, so the *light* is interpolated (as in ``patterns.frame``).
    """
    wanted = np.clip(np.asarray(codes, dtype=np.float64), 0, 255)
    low = np.minimum(np.floor(wanted).astype(np.intp), 254)
    share = wanted - low
    channel = np.arange(3)
    return np.asarray(curves[channel, low] * (1 - share) + curves[channel, low + 1] * share)
