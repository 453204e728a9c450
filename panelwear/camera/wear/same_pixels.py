"""Differences between camera pixels (PRNU) in a quotient of two maps: what the same pixels put into both cancels.

A cell's mean holds the mean of its pixels' own deviations. Where the camera was put back, the pixels that looked at a
cell then look at one nearby now; which, and what share of them, follows from the two registrations. So in a sum of
cells with weights w the variance is, for pixels of deviation d and cells of n pixels (by EMVA Standard 1288's linear
model the deviation is relative to light and the same in all frames of a sensor)

    sum over pixels of d² (w(cell now) / n - w(cell then) / n)²,

which is nothing within an area of equal weights and is left along its border, as wide as the camera moved.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.field_map import cell_edges
from panelwear.camera.photographs.view import PanelView

Real = NDArray[np.float64]
Mask = NDArray[np.bool_]
Whole = NDArray[np.intp]

SEEN_SHARE = 0.5
"""Of the correlation the same pixels make, so much has to be in a quotient, or it was another sensor."""
CLEAR = 4.0
"""The correlation is asked for where it would be so many times its own standard error."""
CUT_OFF = 4.0
MOVED = 0.75
"""Cells that kept more of their pixels do not tell: a pixel belongs whole to one cell, so a small shift moves none."""


@dataclass(frozen=True, slots=True, eq=False)
class SamePixels:
    """What one sensor's pixels put into two maps, cell by cell."""

    then: Real
    """Relative standard uncertainty of each cell of the earlier map from differences between pixels."""
    now: Real
    """Of the later one."""
    away: Real
    """How many cells farther down and right the pixels of a later cell looked before, ``(2, rows, columns)``."""

    def shares(self) -> Iterator[tuple[tuple[Whole, Whole], Real, Mask]]:
        """Yield earlier cells, what share of a later cell's pixels they had, and whether they are other cells."""
        rows, columns = self.now.shape
        row, column = np.indices(self.now.shape)
        low = np.floor(self.away)
        part = self.away - low
        for down in (0, 1):
            for right in (0, 1):
                r, c = (row + low[0] + down).astype(np.intp), (column + low[1] + right).astype(np.intp)
                share = (part[0] if down else 1 - part[0]) * (part[1] if right else 1 - part[1])
                inside = (r >= 0) & (r < rows) & (c >= 0) & (c < columns)
                place = (np.clip(r, 0, rows - 1), np.clip(c, 0, columns - 1))
                yield place, np.where(inside, share, 0.0), (r != row) | (c != column)

    def cell(self) -> Real:
        """Return the standard uncertainty they leave in each single cell of the quotient."""
        both = self.then**2 + self.now**2
        for place, share, is_other in self.shares():
            both = both - 2 * np.where(is_other, 0.0, share) * self.now * self.then[place]
        return np.sqrt(np.maximum(both, 0.0))

    def of_sum(self, weights: Real) -> float:
        """Return the standard uncertainty they leave in a weighted sum of the quotient's cells."""
        then, now = weights * self.then, weights * self.now
        total = float((then**2).sum() + (now**2).sum())
        for place, share, _ in self.shares():
            total -= 2 * float((now * share * then[place]).sum())
        return float(np.sqrt(max(0.0, total)))

    def are_seen(self, residual: Real, usable: Mask) -> bool:
        """Tell whether the quotient itself shows that the same pixels were there: its cells correlate as they must.

        Cells that hold the same pixels, then and now, scatter against each other; those of another sensor do not.
        Where the camera moved by less than a cell's pixels can tell, the scatter of single cells has to say it.

        Args:
            residual: the quotient less all that is slow or changed in it.
            usable: which cells count.
        """
        spread = np.sqrt(np.mean(residual[usable] ** 2)) if usable.any() else 0.0
        z = np.where(usable, np.clip(residual, -CUT_OFF * spread, CUT_OFF * spread), 0.0)
        found = wanted = error = 0.0
        kept = sum(np.where(is_other, 0.0, share) for _, share, is_other in self.shares())
        moved = usable & (kept < MOVED)
        for place, share, is_other in self.shares():
            counted = np.where(is_other & moved & usable[place], share, 0.0)
            found -= float((z * counted * z[place]).sum())
            wanted += float((counted**2 * self.now * self.then[place]).sum())
            error += float((counted**2).sum()) * float(spread) ** 4
        return wanted <= CLEAR * np.sqrt(error) or found > SEEN_SHARE * wanted


def away_of(then: PanelView, now: PanelView) -> Real:
    """Return how far off, in cells, the pixels of each cell looked before, ``(2, rows, columns)`` (rows, columns)."""
    across, down = cell_edges(now.panel_px)
    middles = np.stack(np.meshgrid((across[1:] + across[:-1]) / 2, (down[1:] + down[:-1]) / 2), axis=-1)
    before = then.to_panel(now.to_camera(middles)) - middles
    return np.stack([before[..., 1] / (down[1] - down[0]), before[..., 0] / (across[1] - across[0])])
