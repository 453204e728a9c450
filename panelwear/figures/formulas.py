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


def white_point(XYZ: Real) -> Real:
    """Return x, y, u', v', CCT, Duv and the distance from D65 in u', v' of the first patch, ``(m, 7)``."""
    colour = chromaticity(XYZ)
    away = np.linalg.norm(colour[:, 2:] - uv_prime_of_xy(D65_XY), axis=1)
    return np.concatenate([colour, cct_duv(XYZ[:, 0]), away[:, None]], axis=1)


def ratio(XYZ: Real) -> Real:
    """Return Y of the first patch over Y of the second, ``(m,)``."""
    return np.asarray(XYZ[:, 0, 1] / XYZ[:, 1, 1])


def tracking(XYZ: Real) -> Real:
    """Return Δu', Δv', Δu'v', ΔE2000 and ΔE ITP of the first patch from the second's white, ``(m, 5)``.

    Both colour differences are taken at the grey's own luminance: against a neutral with the chromaticity of the
    white and the luminance of the grey, so they show tint alone. ΔE2000 counts lightness from that white.
    """
    grey, white = XYZ[:, 0], XYZ[:, 1]
    step = uv_prime_of(grey) - uv_prime_of(white)
    neutral = white * (grey[:, 1:2] / white[:, 1:2])
    return np.column_stack(
        [
            step,
            np.linalg.norm(step, axis=1),
            delta_e_2000(lab_of(grey, white), lab_of(neutral, white)),
            delta_e_itp(grey, neutral),
        ]
    )
