"""Formulas as figures use them: from X, Y, Z ``(m, k, 3)`` of k patches in m variants, to results ``(m, q)``."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from panelwear.colorimetry.basic import D65_XY, delta_e_2000, delta_e_itp, lab_of, uv_prime_of, uv_prime_of_xy, xy_of
from panelwear.colorimetry.cct import cct_duv

Real = NDArray[np.float64]


def luminance(XYZ: Real) -> Real:
    """Return Y of the first patch, ``(m,)``."""
    return np.asarray(XYZ[:, 0, 1])


def chromaticity(XYZ: Real) -> Real:
    """Return x, y, u', v' of the first patch, ``(m, 4)``."""
    return np.concatenate([xy_of(XYZ[:, 0]), uv_prime_of(XYZ[:, 0])], axis=1)


def temperature(XYZ: Real) -> Real:
    """Return CCT and Duv of the first patch, ``(m, 2)``."""
    return cct_duv(XYZ[:, 0])


def from_d65(XYZ: Real) -> Real:
    """Return (Δu', Δv') of the first patch from D65, ``(m, 2)``."""
    return np.asarray(uv_prime_of(XYZ[:, 0]) - uv_prime_of_xy(D65_XY))


def from_white(XYZ: Real) -> Real:
    """Return (Δu', Δv') of the first patch from the second, ``(m, 2)``."""
    return np.asarray(uv_prime_of(XYZ[:, 0]) - uv_prime_of(XYZ[:, 1]))


def from_neutral(XYZ: Real) -> Real:
    """Return ΔE2000 and ΔE ITP of a grey (first patch) from the neutral of a white (second), ``(m, 2)``.

    The neutral has the chromaticity of the white and the luminance of the grey, so both show tint alone. ΔE2000
    counts lightness from that white.
    """
    grey, white = XYZ[:, 0], XYZ[:, 1]
    neutral = white * (grey[:, 1:2] / white[:, 1:2])
    lab = delta_e_2000(lab_of(grey, white), lab_of(neutral, white))
    return np.column_stack([lab, delta_e_itp(grey, neutral)])
