"""What the eye found, beside what the instrument says."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from panelwear.byeye.retention import Extrapolation, RestedContrast, extrapolate
from panelwear.readings.marks import Mark
from panelwear.readings.matches import MatchResult
from panelwear.uncertainty.coverage import effective_dof, t_factor
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.formatting import rounded
from patterns.frame import Rect

OVERLAP = 0.3
"""Share of a mark (or of the zone) that must lie on both for the mark to be one of the zone."""
FAR = 2.0
"""Levels that differ by more than this factor are said to lie far apart: a contrast may depend on the level."""


@dataclass(frozen=True, slots=True)
class EyeCheck:
    """One match of a zone beside the instrument's contrast, both in % and as the panel is now."""

    method: str
    hue: str
    code: float
    eye: float
    u_eye: float
    instrument: float
    u_instrument: float
    instrument_level: str
    half_width: float
    """Of their difference, 95 %."""
    dof_eye: float
    dof_instrument: float
    eye_cd_m2: float
    """Luminance of the field the eye judged."""
    instrument_cd_m2: float
    """Luminance of the reference the instrument read."""

    @property
    def half_eye(self) -> float:
        """Half width of the eye's 95 % interval, in %."""
        return t_factor(self.dof_eye) * self.u_eye

    @property
    def half_instrument(self) -> float:
        """Half width of the instrument's 95 % interval, in %."""
        return t_factor(self.dof_instrument) * self.u_instrument

    @property
    def agrees(self) -> bool:
        """Whether the two lie within the half width of their difference."""
        return abs(self.eye - self.instrument) <= self.half_width

    @property
    def sentence(self) -> str:
        """Say both and whether they agree."""
        eye, half_eye = rounded(self.eye, self.half_eye, True), rounded(self.half_eye, self.half_eye)
        probe, half = rounded(self.instrument, self.half_instrument, True), rounded(*(self.half_instrument,) * 2)
        both = (
            f"by eye {eye} ± {half_eye} % ({self.method}, {self.hue} {self.code:g}, {self.eye_cd_m2:.3g} cd/m²), "
            f"by instrument {probe} ± {half} % ({self.instrument_level}, {self.instrument_cd_m2:.3g} cd/m²)"
        )
        if self.agrees:
            return f"Eye and instrument agree: {both}"
        gap = rounded(self.eye - self.instrument, self.half_width, True)
        said = (
            f"Eye and instrument do not agree: {both}, {gap} ± {rounded(self.half_width, self.half_width)} % apart; "
            "the eye compares with the surround at the zone's edge, the instrument with the reference zone"
        )
        far = abs(math.log(self.instrument_cd_m2 / self.eye_cd_m2)) > math.log(FAR)
        return said + (", and the levels lie far apart" if far else "")


@dataclass(frozen=True, slots=True)
class Contrast:
    """What the instrument says of one colour of a zone, as it is now."""

    hue: str
    level: str
    reference_cd_m2: float
    percent: Estimate


def eye_checks(zone: str, matches: Sequence[MatchResult], contrasts: Sequence[Contrast]) -> list[EyeCheck]:
    """Put each match of a zone beside the instrument's contrast of the same hue at the nearest luminance.

    Args:
        zone: its name.
        matches: of the later checkpoint.
        contrasts: of the zone; levels may be drive levels or luminances, so only their cd/m² can be compared.
    """
    found = []
    for match in matches:
        usable = match.zone == zone and match.contrast_percent is not None and match.u_percent and not match.after_min
        like = [c for c in contrasts if c.hue == match.hue and c.reference_cd_m2 > 0]
        if (
            not usable
            or not like
            or match.contrast_percent is None
            or match.u_percent is None
            or match.level_cd_m2 <= 0
        ):
            continue
        there = min(like, key=lambda c: abs(math.log(c.reference_cd_m2 / match.level_cd_m2)))
        instrument = there.percent
        dofs = [match.dof or math.inf, instrument.dof]
        u = math.hypot(match.u_percent, instrument.u)
        found.append(
            EyeCheck(
                method=match.method,
                hue=match.hue,
                code=match.code,
                eye=match.contrast_percent,
                u_eye=match.u_percent,
                instrument=instrument.value,
                u_instrument=instrument.u,
                instrument_level=there.level,
                half_width=t_factor(effective_dof([match.u_percent, instrument.u], dofs)) * u,
                dof_eye=dofs[0],
                dof_instrument=dofs[1],
                eye_cd_m2=match.level_cd_m2,
                instrument_cd_m2=there.reference_cd_m2,
            )
        )
    return found


def marks_on(rect: Rect, zone: str, marks: Sequence[Mark]) -> list[Mark]:
    """Return the marks that became this zone, or that lie on it."""
    return [m for m in marks if m.zone == zone or _share(rect, m.rect) >= OVERLAP]


def _share(a: Rect, b: Rect) -> float:
    across = min(a.x + a.w, b.x + b.w) - max(a.x, b.x)
    down = min(a.y + a.h, b.y + b.h) - max(a.y, b.y)
    return max(across, 0) * max(down, 0) / max(min(a.w * a.h, b.w * b.h), 1)


def fading(zone: str, matches: Sequence[MatchResult]) -> Extrapolation | None:
    """Tell retention from burn-in by matches made after minutes of rest; ``None`` with fewer than three of a kind."""
    series: dict[tuple[str, float], list[RestedContrast]] = {}
    for n in matches:
        if n.zone == zone and n.after_min is not None and n.contrast_percent is not None and n.u_percent:
            look = RestedContrast(n.after_min, n.contrast_percent / 100, n.u_percent / 100)
            series.setdefault((n.hue, n.code), []).append(look)
    longest = max(series.values(), key=len, default=[])
    return extrapolate(sorted(longest, key=lambda look: look.minutes)) if len(longest) >= 3 else None


def marked(found: Sequence[Mark]) -> str:
    """Say what was marked, in one clause."""
    kinds = ", ".join(dict.fromkeys(f"{m.kind}, {m.strength}, on {m.field}" for m in found))
    times = "once" if len(found) == 1 else f"{len(found)} times"
    return f"Marked by eye {times} ({kinds})"
