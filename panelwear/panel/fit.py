"""A monotone, shape-preserving curve through measured luminances, black offset kept."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from panelwear.panel.curve import CODES, Curve, curve_of

Real = NDArray[np.float64]


def exponent_of(codes: Real, net: Real) -> float:
    """Return the slope of log light over log drive, 1..4: the power in whose root the curve is nearly straight."""
    keep = (codes > 0) & (net > 0.005 * net.max())
    if np.count_nonzero(keep) < 2:
        return 2.2
    slope = np.polyfit(np.log(codes[keep]), np.log(net[keep]), 1)[0]
    return float(np.clip(slope, 1.0, 4.0))


def interpolated(codes: Sequence[float], luminances_cd_m2: Sequence[float]) -> Curve:
    """Draw a monotone curve through points that never fall.

    Piecewise cubic Hermite (Fritsch-Carlson, ``scipy.interpolate.PchipInterpolator``) in the root of the light above
    black: there a power law is a straight line, so few points suffice, and black is met exactly. Without a point at
    code 0 black is taken as 0; beyond the last point the curve goes on along its power.

    Args:
        codes: Rising drive levels 0..255, at least two.
        luminances_cd_m2: One luminance each, never falling, at least 0.
    """
    from scipy.interpolate import PchipInterpolator

    x = np.asarray(codes, dtype=np.float64)
    L = np.asarray(luminances_cd_m2, dtype=np.float64)
    black = float(L[0]) if x[0] == 0 else 0.0
    net = L - black
    root = exponent_of(x, net)
    y = np.maximum(net, 0.0) ** (1 / root)
    if x[0] > 0:
        x, y = np.concatenate([[0.0], x]), np.concatenate([[0.0], y])
    if x[-1] < CODES - 1:
        x, y = np.concatenate([x, [255.0]]), np.concatenate([y, [y[-1] * 255.0 / x[-1]]])
    drawn = np.maximum(PchipInterpolator(x, y)(np.arange(CODES)), 0.0) ** root
    return curve_of(black + _toe(x, y**root, drawn))


def _toe(x: Real, net: Real, drawn: Real) -> Real:
    """Below the first point above black, follow the power that leads from there to the second."""
    lit = np.flatnonzero((x > 0) & (net > 0))[:2]
    if len(lit) < 2 or net[lit[1]] <= net[lit[0]]:
        return drawn
    (x1, x2), (net1, net2) = x[lit], net[lit]
    local = float(np.clip(np.log(net2 / net1) / np.log(x2 / x1), 0.5, 4.0))
    start = float(x[lit[0] - 1])
    if start > 0:
        return drawn
    codes = np.arange(CODES)
    return np.where(codes < x1, net1 * (codes / x1) ** local, drawn)


def never_falling(luminances: Real, weights: Real) -> Real:
    """Return the weighted least-squares never-falling sequence (pool adjacent violators; Barlow et al. 1972)."""
    from scipy.optimize import isotonic_regression

    return np.asarray(isotonic_regression(luminances, weights=weights).x, dtype=np.float64)
