"""Decisions with uncertainty: whether values differ in two dimensions."""

from __future__ import annotations

import math


def apart_in_two_dimensions(difference: tuple[float, float], covariance: object, level: float = 0.95) -> bool:
    """Tell whether a vector such as (Δu', Δv') is away from zero: dᵀ C⁻¹ d beyond the χ² point of two dimensions.

    Its length is no test: a length is always positive, so noise alone pushes it up.
    """
    import numpy as np

    d = np.asarray(difference, dtype=np.float64)
    values, vectors = np.linalg.eigh(np.asarray(covariance, dtype=np.float64))
    if values[-1] <= 0:
        return bool(np.any(d != 0))
    # A direction without any uncertainty (readings equal to the last digit) must not divide by zero.
    certain = np.maximum(values, 1e-9 * values[-1])
    # For two degrees of freedom the χ² quantile is -2 ln(1 - level): 5.99 at 95 %.
    return bool(((vectors.T @ d) ** 2 / certain).sum() > -2 * math.log(1 - level))
