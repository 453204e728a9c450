"""Distances in a colour diagram: never negative, so noise alone pushes them up.

A distance that is not significant is given as a bound: its vector v with covariance C is significant when
vᵀ C⁻¹ v exceeds the χ² point of two dimensions, 5.99 at 95 %.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from panelwear.figures.evidence import Evidence, Told, as_limit, flags_of, missing
from panelwear.figures.means import Mean
from panelwear.uncertainty.coverage import t_factor
from panelwear.uncertainty.decision import apart_in_two_dimensions
from panelwear.uncertainty.estimate import Estimate, combine
from panelwear.uncertainty.propagate import Function, jacobian

NOT_TOLD = "not significant"


def length(evidence: Evidence, told: Told, means: Sequence[Mean], vector: Function) -> Estimate:
    """Return the length of a vector of two components, given by a function from ``(m, k, 3)`` to ``(m, 2)``."""
    v, slopes = jacobian(vector, np.stack([m.XYZ for m in means]))
    size = float(np.hypot(*v))
    stack = evidence.stack(means)
    moved = stack.moves(slopes)
    C = moved @ moved.T
    if not (np.isfinite(v).all() and np.isfinite(C).all()):
        return missing(told, "cannot be worked out from these readings")
    along = (v / size if size > 0 else np.array([1.0, 0.0])) @ moved
    parts = stack.causes.components_of(along)
    found = combine(told.name, size, told.unit, parts, note=flags_of(means), caption=told.caption)
    widest = math.sqrt(max(0.0, float(np.linalg.eigvalsh(C)[-1])))
    if widest == 0 or _told_from_zero(v, C, found.dof):
        return found
    return bound(found, widest)


def bound(estimate: Estimate, widest: float) -> Estimate:
    """Turn a distance into its one-sided 95 % bound, with the standard uncertainty of the worst direction."""
    upper = as_limit(estimate, "<", estimate.value + t_factor(estimate.dof, 0.90) * widest)
    note = "; ".join(part for part in (NOT_TOLD, estimate.note) if part)
    return Estimate(upper.name, upper.value, upper.unit, upper.u, upper.dof, upper.components, note, "<", upper.caption)


def _told_from_zero(v: np.ndarray, C: np.ndarray, dof: float) -> bool:
    # Few readings know C badly: the vector is shortened by what t exceeds the normal factor by.
    shorter = v * t_factor(math.inf) / t_factor(dof)
    return apart_in_two_dimensions((float(shorter[0]), float(shorter[1])), C)
