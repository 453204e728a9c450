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


def pooled(spreads: ArrayLike, dofs: ArrayLike) -> tuple[float, float]:
    """Return the pooled standard deviation and its degrees of freedom of several spreads (JCGM 100, 4.2.4)."""
    s, nu = np.asarray(spreads, dtype=np.float64), np.asarray(dofs, dtype=np.float64)
    total = float(nu.sum())
    return (math.sqrt(float((nu * s**2).sum()) / total) if total > 0 else math.nan), total
