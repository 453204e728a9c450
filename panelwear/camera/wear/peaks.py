"""Clusters of a map that stand out, with the probability of each without any change.

The map is looked at through Gaussians of several widths, two of them long. Where the smoothed map goes beyond
``FORMING`` standard deviations, cells that touch are a cluster; its p value is the probability that a cluster of a
smooth Gaussian field reaches as high: the expected Euler characteristic above its peak over that above ``FORMING``
(Adler 1981; Worsley et al. 1996; for several clusters Chumbley et al. 2010; from memory). Simulated maps agree with it,
see ``tests/panelwear/camera/wear/test_peaks.py`` and ``benchmarks/map_regions.py``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.wear.background import Flattened
from panelwear.camera.wear.noise import MAD_TO_SD, line_kernel

Real = NDArray[np.float64]
Mask = NDArray[np.bool_]

Widths = tuple[float, float]
"""Standard deviations along x and along y, in cells."""
WIDTHS_CELLS: tuple[Widths, ...] = ((1.5, 1.5), (3, 3), (6, 6), (12, 12), (24, 1.5), (1.5, 24))
"""What the map's noise is smoothed to. The long ones are a prior: what wears a panel is mostly drawn along its rows and
columns, and a thin line is seen along its length only."""
FORMING = 3.0
CUT_OFF = 4.0
"""A cell counts no more than this many of its standard deviations: one cell alone makes no region."""
LEAST_COVERED = 0.3
"""A place counts where at least this share of what is smoothed there is usable."""


@dataclass(frozen=True, slots=True, eq=False)
class Cluster:
    """Cells that stand out together through one width."""

    labels: NDArray[Any]
    number: int
    """Which of the labels it has."""
    sign: int
    peak: float
    p: float
    widths: Widths

    @property
    def cells(self) -> Mask:
        """Its cells."""
        return np.asarray(self.labels == self.number)


def clusters_of(flat: Flattened) -> Iterator[Cluster]:
    """Yield all clusters of a map through all widths."""
    from scipy.ndimage import label, maximum

    scale, own = flat.noise.scale, flat.noise.correlation_cells
    u = scale * np.where(flat.usable, flat.map.u, 1.0).astype(np.float64)
    z = np.clip(np.where(flat.usable, flat.residual / u, 0.0), -CUT_OFF, CUT_OFF)
    for widths in _widths(own):
        seen, counted = smoothed_z(z, flat.usable, own, widths)
        euler = EulerCounts.of(counted, widths)
        for sign in (1, -1):
            labels, count = label(np.where(counted, sign * seen, 0.0) > FORMING, np.ones((3, 3)))
            if not count:
                continue
            peaks = np.atleast_1d(maximum(sign * seen, labels, range(1, count + 1)))
            for number, peak in enumerate(peaks.tolist(), start=1):
                yield Cluster(labels, number, sign, peak, euler.p(peak), widths)


def _widths(own: float) -> list[Widths]:
    """Return the widths that noise of a correlation can be smoothed to."""
    found = [(max(x, 1.5 * own), max(y, 1.5 * own)) for x, y in WIDTHS_CELLS]
    return list(dict.fromkeys(found))


def smoothed_z(z: Real, usable: Mask, own: float, widths: Widths) -> tuple[Real, Mask]:
    """Smooth a map in units of its noise so that the outcome's noise correlates as a Gaussian of some widths.

    It has a standard deviation of 1 everywhere: by the noise as stated, or by how it scatters itself where that is
    more.

    Returns:
        The smoothed map, and which of its cells count.
    """
    first = line_kernel(own)
    lines = tuple(line_kernel(math.sqrt(max(width**2 - own**2, 0.0))) for width in widths)
    # Noise that one Gaussian correlates, smoothed by others: what is left of its variance.
    left = math.prod(float((np.convolve(first, line) ** 2).sum() / (first**2).sum()) for line in lines)
    squares = math.prod(float((line**2).sum()) for line in lines)
    covered = _along(usable.astype(np.float64), lines[0] ** 2, lines[1] ** 2) / squares
    counted = usable & (covered > LEAST_COVERED)
    with np.errstate(divide="ignore", invalid="ignore"):
        seen = np.where(counted, _along(z, *lines) / np.sqrt(left * covered), 0.0)
    scatter = MAD_TO_SD * float(np.median(np.abs(seen[counted]))) if counted.any() else 1.0
    return seen / max(scatter, 1.0), counted


def _along(values: Real, across: Real, down: Real) -> Real:
    from scipy.ndimage import correlate1d

    half = correlate1d(values, across, axis=1, mode="constant")
    return np.asarray(correlate1d(half, down, axis=0, mode="constant"))


@dataclass(frozen=True, slots=True)
class EulerCounts:
    """Expected Euler characteristic of a smooth Gaussian field above a height, over an area with a border."""

    area: float
    """In units of 1/sqrt(roughness), each direction by its own."""
    half_border: float

    @classmethod
    def of(cls, counted: Mask, widths: Widths) -> EulerCounts:
        """Measure the cells that count; a field smoothed by a width has the roughness 1/(2 width²) along it."""
        inside = np.pad(counted, 1)
        x, y = (math.sqrt(2) * width for width in widths)
        border = float((inside[1:] != inside[:-1]).sum()) / x + float((inside[:, 1:] != inside[:, :-1]).sum()) / y
        return cls(float(counted.sum()) / (x * y), border / 2)

    def above(self, z: float) -> float:
        """Return the expected Euler characteristic above a height."""
        from scipy.special import ndtr

        e = math.exp(-z * z / 2)
        whole = self.area * z * e / (2 * math.pi) ** 1.5 + self.half_border * e / (2 * math.pi) + float(ndtr(-z))
        return float(whole)

    def p(self, peak: float) -> float:
        """Return the probability that a cluster above ``FORMING`` reaches a height."""
        return float(min(1.0, self.above(peak) / self.above(FORMING)))
