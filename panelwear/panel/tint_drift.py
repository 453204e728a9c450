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

from panelwear.panel.drift import Drift, fit_drift
from panelwear.readings.table import ReadingTable

Real = NDArray[np.float64]


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

    def corrected(self, table: ReadingTable) -> ReadingTable:
        """Return the table with X and Z divided by their own drift factors; Y stays."""
        X = table.X * np.exp(-self.x_over_y.log_drift(table))
        Z = table.Z * np.exp(-self.z_over_y.log_drift(table))
        return replace(table, X=X, Z=Z)

    def factor(self, table: ReadingTable) -> Real:
        """Return ``(n, 3, r)``: how each independent deviate of the two fits would move ln X, ln Y, ln Z."""
        red, blue = self.x_over_y.factor(table), self.z_over_y.factor(table)
        found = np.zeros((len(table), 3, red.shape[1] + blue.shape[1]))
        found[:, 0, : red.shape[1]] = red
        found[:, 2, red.shape[1] :] = blue
        return found


def fit_tint(table: ReadingTable) -> TintDrift:
    """Fit the drift of X/Y and Z/Y through the usable readings with the purpose ``reference``."""
    lit = (table.purpose == "reference") & (table.X > 0) & (table.Y > 0) & (table.Z > 0)
    rows = table.where(lit)
    return TintDrift(fit_drift(replace(rows, Y=rows.X / rows.Y)), fit_drift(replace(rows, Y=rows.Z / rows.Y)))
