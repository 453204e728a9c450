"""Noise of a map that correlates from cell to cell: as it was stated, as the map itself shows it, and of sums of cells.

Noise is taken as white noise that a Gaussian of standard deviation s (in cells) has smoothed, so two cells at a
distance d correlate by exp(-d²/(4 s²)).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]
Mask = NDArray[np.bool_]

MAD_TO_SD = 1.4826
"""Of a normal distribution: 1 over the 75 % point."""
LAGS = (1, 2, 3)
WIDEST_CELLS = 6.0
"""A correlation wider than this is no noise from cell to cell; it is taken as a structure of the map."""
CLIP = 3.0


@dataclass(frozen=True, slots=True)
class MapNoise:
    """How much a map scatters."""

    scale: float
    """What the stated noise of a cell is multiplied by, 1 or more."""
    correlation_cells: float
    """The larger of stated and estimated."""


@lru_cache(maxsize=64)
def line_kernel(sigma: float) -> Real:
    """Return a sampled Gaussian of sum 1, cut at four standard deviations; one cell for 0."""
    if sigma <= 0:
        return np.ones(1)
    reach = int(4 * sigma + 0.5)
    line = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2)
    return np.asarray(line / line.sum())


def smoothed(values: Real, sigma: float) -> Real:
    """Return a map smoothed by a Gaussian; beyond its border it counts as 0."""
    from scipy.ndimage import correlate1d

    line = line_kernel(sigma)
    if line.size == 1:
        return values
    across = correlate1d(values, line, axis=1, mode="constant")
    return np.asarray(correlate1d(across, line, axis=0, mode="constant"))


def u_of_sum(weights: Real, u: Real, correlation_cells: float) -> float:
    """Return the standard uncertainty of a weighted sum of cells.

    With C = G Gᵀ, G the smoothing, wᵀ C w is the square of the length of Gᵀ w. Exact within a border of zeros.
    """
    part = weights * u
    rows, columns = np.nonzero(part)
    if rows.size == 0:
        return 0.0
    line = line_kernel(correlation_cells)
    cut = part[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1]
    cut = np.pad(cut, line.size // 2)
    return float(np.sqrt((smoothed(cut, correlation_cells) ** 2).sum() / (line**2).sum() ** 2))


def noise_of(residual: Real, u: Real, usable: Mask, stated_correlation: float) -> MapNoise:
    """Estimate a map's noise from what is left of it when everything slow is taken out, and use the larger.

    Robust: the median absolute deviation for the size, cells cut off at three standard deviations for the correlation,
    so that what really changed hardly counts.

    Args:
        residual: the map less what is slow in it.
        u: stated standard uncertainty of each cell.
        usable: which cells count.
        stated_correlation: in cells.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        z = np.where(usable & (u > 0), residual / u, 0.0)
    counted = usable & (u > 0)
    if not counted.any():
        return MapNoise(1.0, stated_correlation)
    found = MAD_TO_SD * float(np.median(np.abs(z[counted])))
    clipped = np.clip(z / max(found, 1e-9), -CLIP, CLIP)
    wide = max(_correlation(clipped, counted, axis) for axis in (0, 1))
    return MapNoise(max(1.0, found), max(stated_correlation, wide))


def _correlation(z: Real, usable: Mask, axis: int) -> float:
    """Return the Gaussian that explains how neighbours along one direction correlate, in cells."""
    size = z.shape[axis]
    widest = 0.0
    spread = float((z[usable] ** 2).mean())
    for lag in LAGS:
        if lag >= size or spread <= 0:
            break
        first, second = (np.take(z, range(s, s + size - lag), axis) for s in (0, lag))
        both = np.take(usable, range(size - lag), axis) & np.take(usable, range(lag, size), axis)
        if not both.any():
            break
        r = float((first * second)[both].mean()) / spread
        if r < 3 / np.sqrt(both.sum()) or r < 0.02:
            break
        widest = max(widest, float(np.interp(r, *_known(lag))))
    return widest


@lru_cache(maxsize=8)
def _known(lag: int) -> tuple[Real, Real]:
    """Return correlations at a lag, rising, and the Gaussians that make them."""
    sigmas = np.linspace(0.2, WIDEST_CELLS, 117)
    found = []
    for sigma in sigmas:
        line = np.pad(line_kernel(float(sigma)), lag)
        found.append(float((line[lag:] * line[:-lag]).sum() / (line**2).sum()))
    return np.asarray(found), sigmas
