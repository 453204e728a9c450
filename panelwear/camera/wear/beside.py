"""What the photographs say of a zone, beside what colorimeter and eye say of the same zone."""

from __future__ import annotations

import math
from dataclasses import dataclass

from panelwear.camera.shots import Shot
from panelwear.compare.zones import ZoneFinding
from panelwear.uncertainty.coverage import effective_dof, t_factor
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.formatting import rounded, with_uncertainty

WHY_APART = (
    "Photographs compare all of a zone with what lies beside it, the colorimeter its place in the zone with its place "
    "in the reference, the eye the zone's edge with its surround"
)
"""What may keep them apart where nothing is wrong with either."""


@dataclass(frozen=True, slots=True)
class Beside:
    """Two results of one quantity, both in %."""

    by: str
    """``colorimeter`` or ``eye``."""
    what: str
    """``change`` since the earlier checkpoint, or ``contrast`` as it stands."""
    photographs: Estimate
    other: Estimate
    other_level: str
    half_width: float
    """Of their difference, 95 %."""

    @property
    def agrees(self) -> bool:
        """Whether the two lie within the half width of their difference."""
        return abs(self.photographs.value - self.other.value) <= self.half_width

    @property
    def sentence(self) -> str:
        """Say both and whether they agree."""
        both = (
            f"{self.what} by photographs {with_uncertainty(self.photographs, 0.95, signed=True)}, by {self.by} "
            f"{with_uncertainty(self.other, 0.95, signed=True)} ({self.other_level})"
        )
        if self.agrees:
            return f"Photographs and {self.by} agree: {both}"
        gap = self.photographs.value - self.other.value
        apart = f"{rounded(gap, self.half_width, True)} ± {rounded(self.half_width, self.half_width)} %"
        return f"Photographs and {self.by} do not agree: {both}, {apart} apart"


def beside(shot: Shot, change: Estimate, now: Estimate | None, zone: ZoneFinding | None) -> tuple[Beside, ...]:
    """Put a zone's result on one field beside those of colorimeter and eye at the same hue and the nearest level.

    Args:
        shot: the field.
        change: by photographs, since the earlier checkpoint.
        now: by photographs, as it stands; ``None`` where the lens's fall-off is still in the maps.
        zone: what colorimeter and eye found; ``None`` where nobody read it.
    """
    if zone is None:
        return ()
    found = []
    colours = [c for c in zone.colours if c.hue == shot.channel]
    if colours:
        one = min(colours, key=lambda c: _distance(shot, c.level, c.reference_cd_m2))
        level = f"{one.hue}, {one.reference_cd_m2:.3g} cd/m²"
        found.append(_two("colorimeter", "change", change, one.change.step, level))
    level_cd_m2 = shot.target_cd_m2 or next(
        (c.reference_cd_m2 for c in colours if c.level == f"c{max(shot.codes):g}"), None
    )
    eyes = [e for e in zone.eye if e.hue == shot.channel]
    if now is not None and eyes and level_cd_m2:
        eye = min(eyes, key=lambda e: abs(math.log(e.eye_cd_m2 / level_cd_m2)))
        seen = Estimate("eye", eye.eye, "%", eye.u_eye, eye.dof_eye)
        found.append(_two("eye", "contrast", now, seen, f"{eye.method}, {eye.hue}, {eye.eye_cd_m2:.3g} cd/m²"))
    return tuple(one for one in found if math.isfinite(one.half_width))


def _distance(shot: Shot, level: str, reference_cd_m2: float) -> float:
    if shot.target_cd_m2 and reference_cd_m2 > 0:
        return abs(math.log(reference_cd_m2 / shot.target_cd_m2))
    code = level.removeprefix("c")
    return abs(float(code) - max(shot.codes)) if code.replace(".", "", 1).isdigit() else math.inf


def _two(by: str, what: str, photographs: Estimate, other: Estimate, level: str) -> Beside:
    u = math.hypot(photographs.u, other.u)
    dof = effective_dof([photographs.u, other.u], [photographs.dof, other.dof])
    half = t_factor(dof) * u if math.isfinite(u) and u > 0 else math.nan
    return Beside(by, what, photographs, other, level, half)
