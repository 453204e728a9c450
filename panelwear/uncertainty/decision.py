"""Decisions with uncertainty: conformance to a limit, guard bands, whether values differ (JCGM 106, ISO 14253-1)."""

from __future__ import annotations

import math
from typing import Literal

Decision = Literal["within", "beyond", "undecided"]


def probability_below(limit: float, value: float, u: float) -> float:
    """Return the probability that the true value lies below an upper limit (JCGM 106, 7.2)."""
    from scipy.special import ndtr

    return float(ndtr((limit - value) / u))


def guard_band(u: float, probability: float = 0.95) -> float:
    """Return the one-sided guard band w = k u that keeps wrong acceptance under 1 - probability (JCGM 106, 8.3)."""
    from scipy.special import ndtri

    return float(ndtri(probability)) * u


def against_upper_limit(value: float, u: float, limit: float, probability: float = 0.95) -> Decision:
    """Decide with guard bands on both sides of an upper limit (ISO 14253-1: default 95 %)."""
    band = guard_band(u, probability)
    if value <= limit - band:
        return "within"
    return "beyond" if value > limit + band else "undecided"


def normalised_error(difference: float, u: float) -> float:
    """Return E_n, the difference over U = 2 u, without sign; above 1 the difference is real (ISO/IEC 17043)."""
    return abs(difference) / (2 * u)


def ratio_u(u_later: float, u_earlier: float, u_meter_drift: float) -> float:
    """Return the relative uncertainty of a ratio of two luminances by one meter: its calibration cancels."""
    return math.sqrt(u_later**2 + u_earlier**2 + u_meter_drift**2)


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
