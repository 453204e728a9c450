"""Grayscale Standard Display Function: luminance against just-noticeable steps (DICOM PS3.14, clause 7.1)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from panelwear.colorimetry.basic import Real

_A, _C, _E, _G, _M = -1.3011877, 8.0242636e-2, 1.3646699e-1, -2.5468404e-2, 1.3635334e-3
_B, _D, _F, _H, _K = -2.5840191e-2, -1.0320229e-1, 2.8745620e-2, -3.1978977e-3, 1.2992634e-4

J_MIN, J_MAX = 1.0, 1023.0
L_MIN_CD_M2, L_MAX_CD_M2 = 0.049982, 3993.329586
"""Luminance at the first and the last step."""


def luminance_of(j: ArrayLike) -> Real:
    """Return the luminance in cd/m² of a JND index 1..1023 (PS3.14, 7.1)."""
    x = np.log(np.asarray(j, dtype=np.float64))
    upper = _A + x * (_C + x * (_E + x * (_G + x * _M)))
    lower = 1 + x * (_B + x * (_D + x * (_F + x * (_H + x * _K))))
    return np.asarray(10 ** (upper / lower), dtype=np.float64)


def index_of(luminance_cd_m2: ArrayLike) -> Real:
    """Return the JND index 1..1023 whose ``luminance_of`` is the given one, by bisection to 1e-9.

    Luminances outside the function's range are clamped to its ends.
    """
    wanted = np.asarray(luminance_cd_m2, dtype=np.float64)
    low, high = np.full(wanted.shape, J_MIN), np.full(wanted.shape, J_MAX)
    # 1022 / 2**40 < 1e-9, and bisection cannot run away where the polynomial's slope is steep.
    for _ in range(40):
        middle = (low + high) / 2
        too_dark = luminance_of(middle) < wanted
        low, high = np.where(too_dark, middle, low), np.where(too_dark, high, middle)
    return np.asarray(np.where(np.isnan(wanted), np.nan, (low + high) / 2), dtype=np.float64)


def jnd_weber(luminance_cd_m2: ArrayLike) -> Real:
    """Return one just-noticeable step as a share of the luminance, (L(j + ½) - L(j - ½)) / L."""
    j = np.clip(index_of(luminance_cd_m2), J_MIN + 0.5, J_MAX - 0.5)
    return (luminance_of(j + 0.5) - luminance_of(j - 0.5)) / luminance_of(j)


def jnd_levels(steps: int, black_cd_m2: float, peak_cd_m2: float) -> Real:
    """Return ``steps`` luminances in cd/m² at equal JND distances from black (clamped at 0.05) to peak."""
    first, last = index_of([max(black_cd_m2, 0.05), peak_cd_m2])
    return luminance_of(np.linspace(first, last, steps))
