"""How a probe's scatter depends on luminance: s²(L) = s_d² + a L + (c L)², fitted to repeated readings."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

DETECTION_FACTOR = 3.3
"""Limit of detection in standard deviations of the mean (3.3 s/√n, the usual choice for 5 % errors of both kinds)."""


@dataclass(frozen=True, slots=True)
class NoiseModel:
    """Standard deviation of one reading against luminance."""

    dark_cd_m2: float
    """s_d: what is left at no light."""
    shot_cd_m2: float = 0.0
    """a: grows with the light."""
    relative: float = 0.0
    """c: share of the light."""
    dof: float = math.inf
    """Degrees of freedom it rests on; 0 for an assumed one."""

    def sd(self, luminance_cd_m2: float) -> float:
        """Return the standard deviation of one reading at a luminance, both in cd/m²."""
        L = max(luminance_cd_m2, 0.0)
        return math.sqrt(self.dark_cd_m2**2 + self.shot_cd_m2 * L + (self.relative * L) ** 2)

    def detection_limit(self, n: int) -> float:
        """Return the luminance in cd/m² under which the mean of n readings only says "less than"."""
        return DETECTION_FACTOR * self.dark_cd_m2 / math.sqrt(max(n, 1))


def fit_noise(luminances_cd_m2: ArrayLike, sds_cd_m2: ArrayLike, counts: ArrayLike) -> NoiseModel:
    """Fit the model to repeats at several levels (non-negative weighted least squares, reweighted by its own fit).

    Args:
        luminances_cd_m2: Mean of the repeats at each level, at least three levels.
        sds_cd_m2: Sample standard deviation of the repeats there.
        counts: Number of repeats there, at least two each.

    Raises:
        ValueError: Too few levels, or none of them scatters or repeats.
    """
    from scipy.optimize import nnls

    L = np.maximum(np.asarray(luminances_cd_m2, dtype=np.float64), 0.0)
    s2 = np.asarray(sds_cd_m2, dtype=np.float64) ** 2
    dof = np.asarray(counts, dtype=np.float64) - 1
    keep = np.isfinite(L) & np.isfinite(s2) & (dof >= 1)
    L, s2, dof = L[keep], s2[keep], dof[keep]
    if len(L) < 3 or not np.any(s2 > 0):
        raise ValueError("The noise of the probe needs repeated readings that scatter, at three levels or more.")
    terms = np.column_stack([np.ones_like(L), L, L**2])
    # A sample variance scatters by itself times sqrt(2/dof): the weights need the variances that are sought.
    fitted = np.maximum(s2, s2[s2 > 0].min())
    found = np.zeros(3)
    for _ in range(8):
        weights = np.sqrt(dof / 2) / fitted
        scale = np.linalg.norm(terms * weights[:, None], axis=0)
        scaled, _ = nnls(terms * weights[:, None] / scale, s2 * weights)
        found = scaled / scale
        fitted = np.maximum(terms @ found, 1e-6 * s2.max())
    return NoiseModel(math.sqrt(found[0]), float(found[1]), math.sqrt(found[2]), float(dof.sum()))
