"""What differs between groups of readings, and what differs inside them: one-way analysis of variance.

Moments (Searle, Casella & McCulloch, Variance Components, 1992, ch. 3), as in NIST's StRD data sets for ANOVA, whose
certified sums the tests hold these against. One reading is subtracted from all first: sums of squares of values that
share their leading digits would lose them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Between:
    """k groups, N readings in all."""

    groups: int
    readings: int
    mean: float
    """Of all readings."""
    ms_between: float
    ms_within: float
    """``nan`` where every group is one reading."""
    spread: float
    """Standard deviation of the groups' means, the scatter of the readings in them included; k - 1 degrees of freedom.

    For equal groups of n it is sqrt(MSB / n).
    """
    component: float
    """Standard deviation between groups with the readings' scatter taken out; 0 where the groups differ no more than
    that scatter makes them."""

    @property
    def dof(self) -> int:
        """Degrees of freedom of ``spread``: groups less one, however many readings they hold."""
        return self.groups - 1

    @property
    def F(self) -> float:
        """Mean square between over mean square within."""
        return self.ms_between / self.ms_within if self.ms_within > 0 else math.inf

    @property
    def u_mean(self) -> float:
        """Standard uncertainty of the mean over the groups, with ``dof``; readings of one group do not count apart."""
        return self.spread / math.sqrt(self.groups)


def between(groups: Sequence[Sequence[float]]) -> Between:
    """Work out what differs between groups.

    Args:
        groups: at least two, each of at least one finite reading.

    Raises:
        ValueError: fewer groups, or an empty one.
    """
    if len(groups) < 2 or any(len(group) == 0 for group in groups):
        raise ValueError("two groups are needed, each with a reading")
    origin = float(groups[0][0])
    away = [np.asarray(group, dtype=np.float64) - origin for group in groups]
    sizes = np.array([len(group) for group in away], dtype=np.float64)
    means = np.array([float(group.mean()) for group in away])
    k, total = len(away), float(sizes.sum())
    grand = float((sizes * means).sum() / total)
    ms_between = float((sizes * (means - grand) ** 2).sum()) / (k - 1)
    left = total - k
    squares = sum(float(((group - mean) ** 2).sum()) for group, mean in zip(away, means, strict=True))
    ms_within = squares / left if left else math.nan
    usual_size = (total - float((sizes**2).sum()) / total) / (k - 1)
    component = (ms_between - (ms_within if left else 0.0)) / usual_size
    return Between(
        k, int(total), origin + grand, ms_between, ms_within, float(np.std(means, ddof=1)), math.sqrt(max(component, 0))
    )


def spread_interval(spread: float, dof: float, level: float = 0.95) -> tuple[float, float]:
    """Return the interval of a standard deviation of normal values from its estimate (χ², NIST e-Handbook 1.3.5.8)."""
    from scipy.special import chdtri

    tail = (1 - level) / 2
    return spread * math.sqrt(dof / float(chdtri(dof, tail))), spread * math.sqrt(dof / float(chdtri(dof, 1 - tail)))
