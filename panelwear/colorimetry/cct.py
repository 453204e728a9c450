"""Correlated colour temperature and Duv, by the method of Ohno 2013 as colour-science has it.

Guarded, because that method answers black with 147,978 K and a green primary with 6,064 K: there is no colour
temperature below the probe's floor, nor further than 0.05 from the Planckian locus (CIE 15), nor out of 1,000 to
100,000 K.
"""

from __future__ import annotations

import warnings

import numpy as np
from numpy.typing import ArrayLike

from panelwear.colorimetry.basic import Real
from panelwear.colorimetry.library import colour_science

DUV_LIMIT = 0.05
"""Largest |Duv| at which CIE 15 lets a colour temperature be stated."""
CCT_LIMITS_K = (1000.0, 100000.0)
"""Ends of the table the method searches: at an end it answers the end, as for a saturated red."""


def uv_1960_of(XYZ: ArrayLike) -> Real:
    """Return CIE 1960 u, v as ``(..., 2)``, the diagram colour temperature is defined in; ``nan`` for black."""
    X, Y, Z = np.moveaxis(np.asarray(XYZ, dtype=np.float64), -1, 0)
    denominator = X + 15 * Y + 3 * Z
    safe = np.where(denominator > 0, denominator, np.nan)
    return np.stack([4 * X / safe, 6 * Y / safe], axis=-1)


def cct_duv_of_uv(uv: ArrayLike) -> Real:
    """Return CCT in K and Duv as ``(..., 2)`` of CIE 1960 u, v; ``nan`` where there is none (see above)."""
    given = np.asarray(uv, dtype=np.float64)
    points = given.reshape(-1, 2)
    found = np.full(points.shape, np.nan)
    usable = np.isfinite(points).all(axis=1) & (points > 0).all(axis=1)
    if usable.any():
        colour = colour_science()
        with warnings.catch_warnings():
            # It warns of colours far from the locus; those come out as nan below.
            warnings.simplefilter("ignore")
            answer = colour.temperature.uv_to_CCT_Ohno2013(points[usable])
        found[usable] = np.reshape(answer, (-1, 2))
    stated = (np.abs(found[:, 1]) <= DUV_LIMIT) & (found[:, 0] > CCT_LIMITS_K[0]) & (found[:, 0] < CCT_LIMITS_K[1])
    found[~stated] = np.nan
    return found.reshape(given.shape)


def cct_duv(XYZ: ArrayLike, floor_cd_m2: float = 0.0) -> Real:
    """Return CCT in K and Duv as ``(..., 2)`` of X, Y, Z ``(..., 3)`` in cd/m².

    Rows are ``nan`` where Y is not above ``floor_cd_m2``, |Duv| exceeds 0.05 or CCT leaves 1,000 to 100,000 K.
    """
    rows = np.asarray(XYZ, dtype=np.float64)
    uv = uv_1960_of(rows)
    uv[~(rows[..., 1] > floor_cd_m2)] = np.nan
    return cct_duv_of_uv(uv)


def cct_duv_one(X: float, Y: float, Z: float, floor_cd_m2: float = 0.0) -> tuple[float, float] | None:
    """Return CCT in K and Duv of one reading, or ``None`` where it has none; about 1 ms once ``warm`` was called."""
    cct_K, duv = cct_duv([[X, Y, Z]], floor_cd_m2)[0]
    return (float(cct_K), float(duv)) if np.isfinite(cct_K) else None


def warm() -> None:
    """Import the library and build its table, so that the first reading of a run does not wait for it."""
    cct_duv([[95.0, 100.0, 109.0]])


def uv_1960_at(cct_K: ArrayLike, duv: ArrayLike) -> Real:
    """Return CIE 1960 u, v as ``(n, 2)`` at a colour temperature and Duv (inverse of Ohno 2013)."""
    pairs = np.column_stack([np.atleast_1d(np.asarray(cct_K, float)), np.atleast_1d(np.asarray(duv, float))])
    return np.asarray(colour_science().temperature.CCT_to_uv_Ohno2013(pairs), dtype=np.float64).reshape(-1, 2)


def mired(cct_K: float) -> float:
    """Return the reciprocal colour temperature in 1e-6 / K, in which equal steps look about equal."""
    return 1e6 / cct_K
