"""To which digit a probe rounds each quantity, learned from its readings: by step, by significant digits, or both."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from panelwear.uncertainty.chromaticity import tristimulus_per_xy
from panelwear.uncertainty.meter import MeterTerms
from panelwear.uncertainty.type_b import resolution

Real = NDArray[np.float64]

MOST_DIGITS = 5
"""More significant digits than these are no rounding a figure would notice."""
FINEST_XY = 4
"""Likewise digits after the point of x, y, u', v'."""
LIT_SHARE = 1e-3
"""Readings below this share of the brightest tell no step of x, y: a meter may show them in another range."""
LEAST_VALUES = 10
"""Different values needed before their digits count as the probe's and not as chance."""


@dataclass(frozen=True, slots=True)
class Rounding:
    """What was learned; 0 where nothing was to be seen."""

    digits: tuple[int, int, int] = (0, 0, 0)
    """Significant digits of X, Y, Z."""
    xy_step: float = 0.0
    """Of x and y, where X and Z are made of them."""
    uv_step: float = 0.0
    """Of u' and v', likewise."""


@dataclass(frozen=True, slots=True)
class LearnedTerms(MeterTerms):
    """The probe's stated terms, and to which digit its readings are rounded."""

    rounding: Rounding = field(default_factory=Rounding)


def rounding_of(XYZ: ArrayLike) -> Rounding:
    """Learn the rounding of readings ``(n, 3)`` as the probe sent them."""
    given = np.asarray(XYZ, np.float64)
    digits = [_digits(given[:, c]) for c in range(3)]
    colour = given[np.isfinite(given).all(axis=1) & (given > 0).all(axis=1)]
    if len(colour) == 0 or digits[0] or digits[2]:
        return Rounding((digits[0], digits[1], digits[2]))
    X, Y, Z = colour[colour[:, 1] >= LIT_SHARE * colour[:, 1].max()].T
    with np.errstate(over="ignore", invalid="ignore"):  # of a file that was edited: no step is learnt of it
        xy = np.stack([X, Y]) / (X + Y + Z)
        uv = np.stack([4 * X, 9 * Y]) / (X + 15 * Y + 3 * Z)
    return Rounding((0, digits[1], 0), _step(xy), _step(uv))


def _digits(values: Real) -> int:
    lit = np.abs(values[np.isfinite(values) & (values != 0)])
    if len(np.unique(lit)) < LEAST_VALUES:
        return 0
    return next((d for d in range(2, MOST_DIGITS + 1) if _whole(lit / _last_digit(lit, d))), 0)


def _step(values: Real) -> float:
    if len(np.unique(np.round(values, 9))) < LEAST_VALUES:
        return 0.0
    return next((10.0**-p for p in range(2, FINEST_XY + 1) if _whole(values * 10**p)), 0.0)


def _whole(steps: Real) -> bool:
    return bool(np.all(np.abs(steps - np.round(steps)) < 1e-6))


def _last_digit(values: Real, digits: int) -> Real:
    """Return the worth of the last of so many significant digits of each value above 0."""
    return np.asarray(10.0 ** (np.floor(np.log10(values) + 1e-12) - digits + 1))


def steps_of(XYZ: Real, meter: MeterTerms) -> Real:
    """Return how rounding moves X, Y, Z of k patches, each on its own: ``(k, 3, r)``, r = 3 k, more with x, y.

    Step / sqrt(12) for each patch, however many readings it has: equal readings err alike (JCGM 100, F.2.2.1).
    """
    k = len(XYZ)
    learned = meter.rounding if isinstance(meter, LearnedTerms) else Rounding()
    if learned == Rounding() and not meter.resolution_cd_m2:
        return np.zeros((k, 3, 3 * k))
    step = np.full((k, 3), meter.resolution_cd_m2)
    for c, digits in enumerate(learned.digits):
        lit = XYZ[:, c] > 0
        if digits:
            step[lit, c] = np.maximum(step[lit, c], _last_digit(XYZ[lit, c], digits))
    parts = [np.eye(3 * k).reshape(k, 3, 3 * k) * resolution(1.0) * step[:, :, None]]
    by_xy = tristimulus_per_xy(XYZ)
    if learned.xy_step:
        parts.append(_each(by_xy * resolution(learned.xy_step)))
    if learned.uv_step:
        parts.append(_each(by_xy @ _xy_per_uv(XYZ) * resolution(learned.uv_step)))
    return np.concatenate(parts, axis=2)


def _each(by: Real) -> Real:
    """Spread ``(k, 3, 2)`` so that each patch has its own two deviates, ``(k, 3, 2 k)``."""
    k = len(by)
    return np.asarray(np.einsum("kcx,kl->kclx", by, np.eye(k)).reshape(k, 3, 2 * k))


def _xy_per_uv(XYZ: Real) -> Real:
    """Return d(x, y) / d(u', v'), ``(k, 2, 2)``: x = 9 u' / D, y = 4 v' / D, D = 6 u' - 16 v' + 12 (CIE 15)."""
    X, Y, Z = XYZ.T
    total = np.where(X + 15 * Y + 3 * Z > 0, X + 15 * Y + 3 * Z, 1.0)
    u, v = 4 * X / total, 9 * Y / total
    D = 6 * u - 16 * v + 12
    rows = [[9 / D - 54 * u / D**2, 144 * u / D**2], [-24 * v / D**2, 4 / D + 64 * v / D**2]]
    return np.moveaxis(np.array(rows), -1, 0)
