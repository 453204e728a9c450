"""Type A evaluation: what repeated readings say of themselves (JCGM 100, 4.2 and 5.2.3)."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Repeated:
    """Statistics of n equal readings."""

    n: int
    mean: float
    s: float
    """Experimental standard deviation of one reading; ``nan`` for a single reading."""
    u: float
    """Standard uncertainty of the mean, s / sqrt(n)."""
    dof: int


def repeated(values: ArrayLike) -> Repeated:
    """Return mean, standard deviation and standard uncertainty of repeated readings (JCGM 100, 4.2.3)."""
    found = np.asarray(values, dtype=np.float64)
    n = found.size
    s = float(np.std(found, ddof=1)) if n > 1 else math.nan
    return Repeated(n, float(np.mean(found)), s, s / math.sqrt(n) if n > 1 else math.nan, n - 1)


def covariance_of_mean(rows: ArrayLike) -> Real:
    """Return the covariance matrix of the mean of n rows ``(n, q)`` (JCGM 100, 5.2.3); n must exceed 1."""
    found = np.asarray(rows, dtype=np.float64)
    away = found - found.mean(axis=0)
    n = len(found)
    return np.asarray(away.T @ away / (n * (n - 1)), dtype=np.float64)


def correlation_of(covariance: ArrayLike) -> Real:
    """Return the matrix of correlation coefficients of a covariance matrix (JCGM 100, 5.2.2)."""
    matrix = np.asarray(covariance, dtype=np.float64)
    u = np.sqrt(np.diag(matrix))
    return np.asarray(matrix / np.outer(u, u), dtype=np.float64)


def pooled(spreads: ArrayLike, dofs: ArrayLike) -> tuple[float, float]:
    """Return the pooled standard deviation and its degrees of freedom of several spreads (JCGM 100, 4.2.4)."""
    s, nu = np.asarray(spreads, dtype=np.float64), np.asarray(dofs, dtype=np.float64)
    total = float(nu.sum())
    return (math.sqrt(float((nu * s**2).sum()) / total) if total > 0 else math.nan), total


def effective_readings(n: int, correlation: float) -> float:
    """Return how many independent readings n neighbours with lag-one correlation are worth, n (1 - ρ) / (1 + ρ)."""
    return n * (1 - correlation) / (1 + correlation)


def repeatability_limit(s_r: float) -> float:
    """Return r = 2.8 s_r: two readings of one patch differ by more only once in twenty times (ISO 5725-6)."""
    return 2.8 * s_r


def stein_readings(s: float, half_width: float, first: int = 5, level: float = 0.95) -> int:
    """Return how many readings hold the mean within ``half_width``, from a first stage's spread (Stein 1945)."""
    from panelwear.uncertainty.coverage import t_factor

    return max(first, math.ceil((t_factor(first - 1, level) * s / half_width) ** 2))
