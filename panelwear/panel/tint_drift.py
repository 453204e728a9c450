"""Drift of colour inside a session: X/Y and Z/Y of the reference patches, fitted as their luminance is.

Blue warms up differently from red, so white wanders while luminance is steady. The same weighing of shapes decides by
the data whether there is anything to take out: where the ratios do not move, "no drift" has nearly all the weight, and
what is left is a small uncertainty instead of a correction. The two fits are taken as independent although both divide
by the same Y, so the uncertainty they give is rounder than it is; ``benchmarks/coverage.py`` asks
chromaticities with it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from panelwear.panel.drift import LEAST_CD_M2, Drift, fit_drift
from panelwear.panel.slow_noise import Seat
from panelwear.panel.timeline import Timeline
from panelwear.readings.table import ReadingTable

Real = NDArray[np.float64]

SEAT_OF_COLOUR = Seat(0.0003)
"""How placements move ln X/Y and ln Z/Y (common practice, no source)."""


@dataclass(frozen=True, slots=True, eq=False)
class TintDrift:
    """How X and Z drift besides what they share with Y; empty fits where the meter gives luminance only."""

    x_over_y: Drift
    z_over_y: Drift

    @property
    def least_dof(self) -> float:
        """Fewest degrees of freedom of its fits; ``inf`` without any."""
        fits = [*self.x_over_y.segments, *self.z_over_y.segments]
        return min((fit.dof for fit in fits), default=float("inf"))

    def in_showings(self, timeline: Timeline) -> tuple[Real, Real]:
        """Return what they drift by in every showing.

        Returns:
            ln of the factors on X, Y and Z ``(m, 3)``, and F ``(m, 3, r)``: how each independent deviate of the two
            fits would move them.
        """
        fits = (self.x_over_y, self.z_over_y)
        (red_mean, red), (blue_mean, blue) = (fit.in_showings(timeline) for fit in fits)
        found = np.zeros((len(timeline), 3, red.shape[1] + blue.shape[1]))
        found[:, 0, : red.shape[1]] = red
        found[:, 2, red.shape[1] :] = blue
        return np.column_stack([red_mean, np.zeros(len(timeline)), blue_mean]), found


def fit_tint(table: ReadingTable) -> TintDrift:
    """Fit the drift of X/Y and Z/Y through the usable readings of what was shown more than once."""
    lit = (table.X > 0) & (table.Y > LEAST_CD_M2) & (table.Z > 0)
    rows = table.where(lit)
    ratios = (replace(rows, Y=rows.X / rows.Y), replace(rows, Y=rows.Z / rows.Y))
    return TintDrift(*(fit_drift(rows, SEAT_OF_COLOUR) for rows in ratios))
