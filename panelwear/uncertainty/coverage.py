"""From a standard uncertainty to an interval: t factors and effective degrees of freedom (JCGM 100, G)."""

from __future__ import annotations

import math
from collections.abc import Sequence

from panelwear.uncertainty.estimate import Estimate


def t_factor(dof: float, level: float = 0.95) -> float:
    """Return the two-sided t factor; the normal one for infinitely many degrees of freedom (JCGM 100, table G.2).

    Fractional degrees of freedom are used as they are, not truncated.
    """
    from scipy.special import ndtri, stdtrit

    p = 0.5 + level / 2
    return float(ndtri(p)) if math.isinf(dof) else float(stdtrit(dof, p))


def effective_dof(us: Sequence[float], dofs: Sequence[float], u_combined: float | None = None) -> float:
    """Return the Welch-Satterthwaite degrees of freedom of uncorrelated parts (JCGM 100, G.4.1).

    Args:
        us: standard uncertainties the parts give to the result.
        dofs: their degrees of freedom, ``inf`` allowed.
        u_combined: their combination where it was rounded; by default the root sum of squares.
    """
    u = math.sqrt(sum(part**2 for part in us)) if u_combined is None else u_combined
    spent = sum(part**4 / dof for part, dof in zip(us, dofs, strict=True) if part > 0 and math.isfinite(dof))
    return u**4 / spent if spent > 0 else math.inf


def expanded(estimate: Estimate, level: float = 0.95) -> float:
    """Return the expanded uncertainty U = t(dof) u, in the estimate's unit."""
    return t_factor(estimate.dof, level) * estimate.u if estimate.u > 0 else 0.0


def interval(estimate: Estimate, level: float = 0.95) -> tuple[float, float]:
    """Return the coverage interval; a value that is only a bound has one open end."""
    half = expanded(estimate, level)
    low, high = estimate.value - half, estimate.value + half
    if estimate.limit == "<":
        return -math.inf, estimate.value
    if estimate.limit == ">":
        return estimate.value, math.inf
    return low, high
