"""What a zone's contrast does from dark to bright: the emitter's part and the backplane's part.

A loss of emitter efficiency dims all levels alike; a threshold shift in a square-law pixel, L ~ (V - V_th)², gives a
contrast that grows as L^(-1/2) towards the dark. Fitted is C(L) = c0 + c1 (L / L_ref)^(-1/2), generalised least squares
with the covariance of the levels (they share placements).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from panelwear.compare.zone_steps import ZoneSteps
from panelwear.uncertainty.coverage import expanded
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.formatting import with_uncertainty

REFERENCE_CD_M2 = 100.0
LEAST_U_PERCENT = 1e-3
LEAST_SPAN = 4.0
"""Brightest over darkest level; below it the two parts cannot be told apart."""


@dataclass(frozen=True, slots=True)
class LevelFit:
    """Both parts, in % of the reference's luminance."""

    emitter: Estimate
    backplane: Estimate
    """At 100 cd/m²; it grows as the root of 100 over the luminance."""
    levels_cd_m2: tuple[float, ...]
    contrasts: tuple[float, ...]
    """100 ln of the ratio of ratios at each level."""
    chi2: float
    spare: int
    """Levels beyond the two that the fit takes."""

    def at(self, luminance_cd_m2: float) -> float:
        """Return the fitted contrast in % at a luminance."""
        return self.emitter.value + self.backplane.value * math.sqrt(REFERENCE_CD_M2 / luminance_cd_m2)

    @property
    def sentence(self) -> str:
        """Say both parts, and whether the second can be told from nothing."""
        told = abs(self.backplane.value) > expanded(self.backplane)
        span = f"{min(self.levels_cd_m2):.3g} to {max(self.levels_cd_m2):.3g} cd/m²"
        parts = (
            f"emitter part {with_uncertainty(self.emitter, signed=True)}, backplane part "
            f"{with_uncertainty(self.backplane, signed=True)} at 100 cd/m², from levels of {span}"
        )
        if told:
            return f"The contrast depends on the level: {parts}"
        return f"No dependence on the level can be told: {parts}"


def level_fit(steps: ZoneSteps) -> LevelFit | None:
    """Fit both parts to the greys of a zone; ``None`` with fewer than two levels or too small a span of them."""
    grey = [i for i, (hue, _) in enumerate(steps.colours) if hue == "grey"]
    L = np.array([steps.reference_cd_m2[i] for i in grey])
    if len(grey) < 2 or L.max() < LEAST_SPAN * L.min():
        return None
    pick = np.eye(len(steps.colours))[grey]
    step = steps.step.times(pick)
    design = np.column_stack([np.ones(len(L)), np.sqrt(REFERENCE_CD_M2 / L)])
    # What levels share alone would leave the matrix singular: each counts for no better than a thousandth of a percent.
    weight = np.linalg.inv(step.covariance + np.eye(len(grey)) * LEAST_U_PERCENT**2)
    solve = np.linalg.solve(design.T @ weight @ design, design.T @ weight)
    parts = step.times(solve)
    left = step.values - design @ parts.values
    name = f"zone/{steps.zone}"
    return LevelFit(
        parts.estimate(0, f"{name}.emitter", "%", f"{steps.zone}, emitter part"),
        parts.estimate(1, f"{name}.backplane", "%", f"{steps.zone}, backplane part at 100 cd/m²"),
        tuple(map(float, L)),
        tuple(map(float, step.values)),
        float(left @ weight @ left),
        len(L) - 2,
    )
