"""What a zone's contrast does from dark to bright: the emitter's part and the backplane's part.

A loss of emitter efficiency dims all levels alike; a threshold shift in a square-law pixel, L ~ (V - V_th)², gives a
contrast that grows as L^(-1/2) towards the dark. Fitted is C(L) = c0 + c1 (L / L_ref)^(-1/2), generalised least squares
with the covariance of the levels (they share placements).

The law was seen between the darkest and the brightest level that were read, and is said there: what a still darker grey
does is extrapolated, and any number for it says so. Whether the backplane's part is significant is a line of the
change table under its zone (``darkest``), so it stands in the family of tests.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from groundwork.once import once
from panelwear.compare.changes import Change, Step
from panelwear.compare.zone_steps import ZoneSteps
from panelwear.figures.evidence import Told, missing
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.formatting import with_uncertainty

REFERENCE_CD_M2 = 100.0
LEAST_U_PERCENT = 1e-3
LEAST_SPAN = 4.0
"""Brightest over darkest level; below it the two parts cannot be told apart."""
EXTRAPOLATED = "extrapolated: no level was read that far out"


@dataclass(frozen=True, slots=True)
class LevelFit:
    """Both parts, in % of the reference's luminance."""

    zone: str
    parts: Step
    """Both, with what moves them: the emitter's, and the backplane's at 100 cd/m²."""
    levels_cd_m2: tuple[float, ...]
    contrasts: tuple[float, ...]
    """100 ln of the ratio of ratios at each level."""
    chi2: float
    spare: int
    """Levels beyond the two that the fit takes."""

    @property
    def emitter(self) -> Estimate:
        """Part that is alike at all levels."""
        return self.parts.estimate(0, f"zone/{self.zone}.emitter", "%", f"{self.zone}: emitter part")

    @property
    def backplane(self) -> Estimate:
        """Part that grows towards the dark, at 100 cd/m²; it grows as the root of 100 over the luminance."""
        return self.backplane_at(REFERENCE_CD_M2)

    @property
    def darkest_cd_m2(self) -> float:
        """Darkest level that was read: nothing darker is known."""
        return min(self.levels_cd_m2)

    @property
    def brightest_cd_m2(self) -> float:
        """Brightest level that was read."""
        return max(self.levels_cd_m2)

    def at(self, luminance_cd_m2: float) -> Estimate:
        """Return the fitted contrast in % at a luminance, with a note where no level was read that far out."""
        name, caption = f"zone/{self.zone}.contrast", f"{self.zone}: contrast at {luminance_cd_m2:.3g} cd/m²"
        return self._at(luminance_cd_m2, 1.0, name, caption)

    def backplane_at(self, luminance_cd_m2: float) -> Estimate:
        """Return the backplane's part in % at a luminance, with a note where no level was read that far out."""
        name, caption = f"zone/{self.zone}.backplane", f"{self.zone}: backplane part at {luminance_cd_m2:.3g} cd/m²"
        return self._at(luminance_cd_m2, 0.0, name, caption)

    def _at(self, luminance_cd_m2: float, emitter: float, name: str, caption: str) -> Estimate:
        weights = np.array([[emitter, math.sqrt(REFERENCE_CD_M2 / luminance_cd_m2)]])
        found = self.parts.times(weights).estimate(0, name, "%", caption)
        inside = self.darkest_cd_m2 <= luminance_cd_m2 <= self.brightest_cd_m2
        return found if inside else replace(found, note="; ".join(p for p in (EXTRAPOLATED, found.note) if p))

    def darkest(self) -> Change:
        """Return the backplane's part at the darkest level read, as a line of the change table."""
        name = f"zone-level/{self.zone}"
        caption = f"{self.zone}: backplane part (darkest level, {self.darkest_cd_m2:.3g} cd/m²)"
        step = replace(self.backplane_at(self.darkest_cd_m2), name=name, caption=caption)
        none = missing(Told(name, "%", caption), "")
        return Change(name, caption, none, none, step, self.parts.cancelled)

    def sentence(self, verdict: str) -> str:
        """Say both parts and between which levels they were seen.

        Args:
            verdict: of ``darkest`` in the change table; a dependence is claimed only where it is ``changed``.
        """

        def at(cd_m2: float) -> str:
            return f"{with_uncertainty(self.backplane_at(cd_m2), signed=True)} at {cd_m2:.3g} cd/m²"

        span = f"from {self.darkest_cd_m2:.3g} to {self.brightest_cd_m2:.3g} cd/m²"
        parts = (
            f"emitter part (alike at every level) {with_uncertainty(self.emitter, signed=True)}, "
            f"backplane part (grows towards the dark) {at(self.darkest_cd_m2)} and {at(self.brightest_cd_m2)}"
        )
        if verdict == "changed":
            return f"The contrast depends on the level, {span}: {parts}"
        return f"No level dependence detected, {span}: {parts}"


def level_fit(steps: ZoneSteps) -> LevelFit | None:
    """Fit both parts to the greys of a zone; ``None`` with fewer than two levels or too small a span of them."""
    return once(steps.memo, "level fit", lambda: _level_fit(steps))


def _level_fit(steps: ZoneSteps) -> LevelFit | None:
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
    return LevelFit(
        steps.zone,
        parts,
        tuple(map(float, L)),
        tuple(map(float, step.values)),
        float(left @ weight @ left),
        len(L) - 2,
    )
