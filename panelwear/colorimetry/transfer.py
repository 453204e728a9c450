"""Transfer functions between signal (0..1) and light, each by its open standard; arrays in, arrays out."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Real = NDArray[np.float64]

PQ_M1, PQ_M2 = 2610 / 16384, 2523 / 4096 * 128
PQ_C1, PQ_C2, PQ_C3 = 3424 / 4096, 2413 / 4096 * 32, 2392 / 4096 * 32


def _real(values: ArrayLike) -> Real:
    return np.asarray(values, dtype=np.float64)


def srgb_light(V: ArrayLike) -> Real:
    """Return relative light 0..1 of an sRGB signal (IEC 61966-2-1)."""
    v = _real(V)
    return _real(np.where(v <= 0.04045, v / 12.92, ((np.maximum(v, 0.04045) + 0.055) / 1.055) ** 2.4))


def bt1886_luminance(V: ArrayLike, peak_cd_m2: float, black_cd_m2: float, gamma: float = 2.4) -> Real:
    """Return the luminance in cd/m² of signal 0..1 on a panel of given peak and black (ITU-R BT.1886)."""
    root_white, root_black = peak_cd_m2 ** (1 / gamma), black_cd_m2 ** (1 / gamma)
    a = (root_white - root_black) ** gamma
    b = root_black / (root_white - root_black)
    return _real(a * np.maximum(_real(V) + b, 0.0) ** gamma)


def power_luminance(V: ArrayLike, peak_cd_m2: float, black_cd_m2: float, gamma: float) -> Real:
    """Return the luminance in cd/m² of signal 0..1 by a power law above black (common practice, no source)."""
    return _real(black_cd_m2 + (peak_cd_m2 - black_cd_m2) * np.maximum(_real(V), 0.0) ** gamma)


def pq_signal(L: ArrayLike) -> Real:
    """Return the PQ signal of a luminance in cd/m² (SMPTE ST 2084, ITU-R BT.2100)."""
    powered = (np.maximum(_real(L), 0.0) / 10000.0) ** PQ_M1
    return ((PQ_C1 + PQ_C2 * powered) / (1 + PQ_C3 * powered)) ** PQ_M2
