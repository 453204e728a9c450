"""Correlated colour temperature and Duv by the method of Ohno 2013 (Leukos 10, 47-55), on a stored Planckian locus.

Guarded, because that method answers black with 147,978 K and a green primary with 6,064 K: there is no colour
temperature below the probe's floor, nor further than 0.05 from the Planckian locus (CIE 15), nor out of 1,000 to
100,000 K.

The locus stands in ``planckian-locus.npy``, as colour-science works it out (``benchmarks/planckian_locus.py`` writes
it; tests hold it together with that and with Planck's law summed over the published observer): importing that library
takes longer than a whole comparison, and a run would have to wait for it before the screen is up.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import ArrayLike, NDArray

from panelwear.colorimetry.basic import Real

DUV_LIMIT = 0.05
"""Largest |Duv| at which CIE 15 lets a colour temperature be stated."""
CCT_LIMITS_K = (1000.0, 100000.0)
"""Ends of the table the method searches: at an end it answers the end, as for a saturated red."""
TRIANGULAR_BELOW = 0.002
"""Below this |Duv| the triangular solution is the better one, above it the parabolic (Ohno 2013)."""
LOCUS = "planckian-locus.npy"
"""``(n, 3)``: temperature in K, rising by about 0.1 %, and CIE 1960 u, v of Planck's law there."""

_AT_ONCE = 256
"""Points whose distances to the locus are held in memory at once."""
_STRIDE = 64
"""Rows of the locus between those that are looked at first."""


@cache
def _locus() -> Real:
    with files("panelwear.colorimetry").joinpath(LOCUS).open("rb") as file:
        return np.asarray(np.load(file), dtype=np.float64)


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
        # Colours far from the locus have no solution; they come out as nan.
        with np.errstate(invalid="ignore", divide="ignore"):
            found[usable] = _ohno_2013(points[usable])
    stated = (np.abs(found[:, 1]) <= DUV_LIMIT) & (found[:, 0] > CCT_LIMITS_K[0]) & (found[:, 0] < CCT_LIMITS_K[1])
    found[~stated] = np.nan
    return found.reshape(given.shape)


def _nearest(points: Real, locus: Real) -> NDArray[np.intp]:
    """Return the row of the locus ``(k, 2)`` that lies nearest to each point ``(n, 2)``.

    The nearest of every ``_STRIDE``-th row is found first, then the nearest of those around it: the locus bends so
    little that from any point for which a colour temperature may be stated the distance falls once, and rises.
    """
    found = np.empty(len(points), dtype=np.intp)
    around = np.arange(-_STRIDE, _STRIDE + 1)
    for start in range(0, len(points), _AT_ONCE):
        some = points[start : start + _AT_ONCE]
        about = _away(some, locus[::_STRIDE]).argmin(axis=1) * _STRIDE
        rows = np.clip(about[:, None] + around, 0, len(locus) - 1)
        near = _away(some, locus[rows]).argmin(axis=1)
        found[start : start + _AT_ONCE] = rows[np.arange(len(some)), near]
    return found


def _away(points: Real, locus: Real) -> Real:
    """Return squared distances ``(n, k)`` of points ``(n, 2)`` to a locus ``(k, 2)`` or to one each ``(n, k, 2)``."""
    return np.asarray((locus[..., 0] - points[:, :1]) ** 2 + (locus[..., 1] - points[:, 1:]) ** 2)


def _ohno_2013(points: Real) -> Real:
    """Return CCT and Duv ``(n, 2)`` of u, v ``(n, 2)`` from the nearest point of the locus and its two neighbours."""
    locus = _locus()
    u, v = points.T
    near = np.clip(_nearest(points, locus[:, 1:3]), 1, len(locus) - 2)
    (T0, u0, v0), (T1, u1, v1), (T2, u2, v2) = (locus[near + step].T for step in (-1, 0, 1))
    d0, d1, d2 = (np.hypot(u - a, v - b) for a, b in ((u0, v0), (u1, v1), (u2, v2)))
    # Triangular: the foot of the perpendicular on the chord of the neighbours.
    chord = np.hypot(u2 - u0, v2 - v0)
    along = (d0**2 - d2**2 + chord**2) / (2 * chord)
    side = np.sign(v - (v0 + (v2 - v0) * (along / chord)))
    T_triangular, duv_triangular = T0 + (T2 - T0) * (along / chord), (d0**2 - along**2) ** 0.5 * side
    # Parabolic: the lowest point of the parabola through the three distances.
    product = (T2 - T1) * (T0 - T2) * (T1 - T0)
    a = (T0 * (d2 - d1) + T1 * (d0 - d2) + T2 * (d1 - d0)) / product
    b = -(T0**2 * (d2 - d1) + T1**2 * (d0 - d2) + T2**2 * (d1 - d0)) / product
    c = -(d0 * (T2 - T1) * T1 * T2 + d1 * (T0 - T2) * T0 * T2 + d2 * (T1 - T0) * T0 * T1) / product
    T_parabolic = -b / (2 * a)
    duv_parabolic = (a * T_parabolic**2 + b * T_parabolic + c) * side
    far = np.abs(duv_triangular) >= TRIANGULAR_BELOW
    return np.column_stack([np.where(far, T_parabolic, T_triangular), np.where(far, duv_parabolic, duv_triangular)])


def cct_duv(XYZ: ArrayLike, floor_cd_m2: float = 0.0) -> Real:
    """Return CCT in K and Duv as ``(..., 2)`` of X, Y, Z ``(..., 3)`` in cd/m².

    Rows are ``nan`` where Y is not above ``floor_cd_m2``, |Duv| exceeds 0.05 or CCT leaves 1,000 to 100,000 K.
    """
    rows = np.asarray(XYZ, dtype=np.float64)
    uv = uv_1960_of(rows)
    uv[~(rows[..., 1] > floor_cd_m2)] = np.nan
    return cct_duv_of_uv(uv)


def cct_duv_one(X: float, Y: float, Z: float, floor_cd_m2: float = 0.0) -> tuple[float, float] | None:
    """Return CCT in K and Duv of one reading, or ``None`` where it has none; about 0.2 ms."""
    cct_K, duv = cct_duv([[X, Y, Z]], floor_cd_m2)[0]
    return (float(cct_K), float(duv)) if np.isfinite(cct_K) else None
