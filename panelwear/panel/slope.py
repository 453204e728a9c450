"""A straight line through a short trace: its slope and the 95 % interval of that slope."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike


@dataclass(frozen=True, slots=True)
class Slope:
    """Slope per second with its standard uncertainty; ``nan`` where there are too few points."""

    per_s: float
    u_per_s: float
    dof: float

    def half_width(self, level: float = 0.95) -> float:
        """Return half the two-sided interval of the slope, per second."""
        from scipy.stats import t

        return float(t.ppf((1 + level) / 2, self.dof)) * self.u_per_s if self.dof > 0 else math.inf

    def within(self, limit_per_s: float) -> bool:
        """Tell whether the whole 95 % interval lies inside ± the limit."""
        return math.isfinite(self.per_s) and abs(self.per_s) + self.half_width() <= limit_per_s

    def beyond(self, limit_per_s: float) -> bool:
        """Tell whether the whole 95 % interval lies outside ± the limit."""
        return math.isfinite(self.per_s) and abs(self.per_s) - self.half_width() > limit_per_s


def fit_slope(times_s: ArrayLike, values: ArrayLike, u_values: float = 0.0, dof_values: float = 0.0) -> Slope:
    """Fit a line by least squares.

    Args:
        times_s: At least three times.
        values: One value each; what is not a number is left out.
        u_values: Scatter of one value as known from repeats, where it is known.
        dof_values: Degrees of freedom of that scatter. It is pooled with what is left about the line, unless that is
            clearly more: then the values move by more than the probe scatters, and the residuals alone count.
    """
    t, v = np.asarray(times_s, dtype=np.float64), np.asarray(values, dtype=np.float64)
    keep = np.isfinite(t) & np.isfinite(v)
    t, v = t[keep], v[keep]
    if len(t) < 3 or np.ptp(t) <= 0:
        return Slope(math.nan, math.nan, 0.0)
    centred = t - t.mean()
    spread = float(centred @ centred)
    slope = float(centred @ v) / spread
    left = v - v.mean() - slope * centred
    dof = float(len(t) - 2)
    s2 = float(left @ left) / dof
    if dof_values > 0 and u_values > 0:
        s2, dof = _pooled(s2, dof, u_values**2, dof_values)
    return Slope(slope, math.sqrt(s2 / spread), dof)


def _pooled(s2: float, dof: float, known: float, known_dof: float) -> tuple[float, float]:
    from scipy.stats import f

    if s2 / known > f.ppf(0.99, dof, known_dof):
        return s2, dof
    return (dof * s2 + known_dof * known) / (dof + known_dof), dof + known_dof
