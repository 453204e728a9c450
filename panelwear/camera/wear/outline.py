"""From cells that stand out to the rectangle they fill: what wears a panel is mostly drawn along rows and columns.

That is a prior, and said as such: how much of the rectangle really stands out is told with it (``fill``).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.wear.background import Flattened
from panelwear.camera.wear.noise import smoothed
from panelwear.camera.wear.peaks import Cluster

Real = NDArray[np.float64]
Mask = NDArray[np.bool_]

NARROW_CELLS = (0.0, 0.7, 1.5, 3.0, 6.0, 12.0)
CLEAR = 4.0
"""The map is smoothed until what is looked for is this many times its noise."""
ROUNDS = 8


@dataclass(frozen=True, slots=True)
class Outline:
    """A rectangle of cells."""

    rows: slice
    columns: slice
    fill: float
    """Share of its cells that stand out by more than half of its change."""

    @property
    def count(self) -> int:
        """Number of cells."""
        return int((self.rows.stop - self.rows.start) * (self.columns.stop - self.columns.start))


def outline_of(flat: Flattened, cluster: Cluster) -> Outline:
    """Return the rectangle a cluster fills best.

    Its border lies where the smoothed map is at half of the change; the rectangle has the largest sum of what lies
    above half of the change less what lies below, which is its likelihood against no change at all for even noise.
    """
    light = cluster.sign * flat.residual
    size = float(np.median(light[cluster.cells]))
    part = cluster.cells
    for _ in range(2):
        seen = _smoothed_enough(light, flat.usable, flat, size)
        part = _touching((seen > size / 2) & flat.usable, part)
        size = max(float(np.median(light[part])), size / 2)
    rows, columns, size = _rectangle(light, flat.usable, part, size)
    # Smoothed inside the rectangle alone, so that a thin one is not thinned by what lies round it.
    counted = np.zeros(light.shape, dtype=bool)
    counted[rows, columns] = flat.usable[rows, columns]
    above = _smoothed_enough(light, counted, flat, size)[counted] > size / 2
    return Outline(rows, columns, float(above.mean()) if above.size else 0.0)


def _smoothed_enough(light: Real, counted: Mask, flat: Flattened, size: float) -> Real:
    u = flat.noise.scale * float(np.median(flat.map.u[flat.usable]))
    own = max(flat.noise.correlation_cells, 0.3)
    widths = [w for w in NARROW_CELLS if u * own / math.hypot(own, w) * CLEAR <= size]
    width = widths[0] if widths else NARROW_CELLS[-1]
    weight = smoothed(counted.astype(np.float64), width)
    return np.asarray(smoothed(np.where(counted, light, 0.0), width) / np.maximum(weight, 1e-6))


def _touching(high: Mask, part: Mask) -> Mask:
    """Return the connected cells that share most with a part; the part itself where none do."""
    from scipy.ndimage import label

    labels, count = label(high, np.ones((3, 3)))
    shared = np.bincount(labels[part], minlength=count + 1)
    shared[0] = 0
    return np.asarray(labels == shared.argmax()) if shared.any() else part


def _rectangle(light: Real, usable: Mask, part: Mask, size: float) -> tuple[slice, slice, float]:
    rows, columns = _bounds(part)
    for _ in range(ROUNDS):
        frame = tuple(_wider(s, whole) for s, whole in zip((rows, columns), light.shape, strict=True))
        gain = np.where(usable, light - size / 2, 0.0)
        down = _best(gain[frame[0], columns].sum(axis=1), frame[0].start)
        across = _best(gain[down, frame[1]].sum(axis=0), frame[1].start)
        inside = usable[down, across]
        if not inside.any():
            break
        is_same = (down, across) == (rows, columns)
        rows, columns = down, across
        size = max(float(light[rows, columns][inside].mean()), size / 4)
        if is_same:
            break
    return rows, columns, size


def _bounds(part: Mask) -> tuple[slice, slice]:
    """Return the rows and columns of which at least half is in the part, measured by its fullest ones."""
    found = []
    for axis in (1, 0):
        counts = part.sum(axis=axis)
        there = np.flatnonzero(counts >= counts.max() / 2)
        found.append(slice(int(there[0]), int(there[-1]) + 1))
    return found[0], found[1]


def _wider(span: slice, whole: int) -> slice:
    more = 8 + (span.stop - span.start) // 3
    return slice(max(0, span.start - more), min(whole, span.stop + more))


def _best(gain: Real, start: int) -> slice:
    """Return the stretch of the largest sum (Kadane, as in Bentley 1984, from memory)."""
    total = np.concatenate([[0.0], np.cumsum(gain)])
    lowest = np.minimum.accumulate(total[:-1])
    end = int(np.argmax(total[1:] - lowest))
    first = int(np.argmin(total[: end + 1]))
    return slice(start + first, start + end + 1)
