"""What the eye found, beside what the instrument says."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from panelwear.byeye.marks import Mark
from panelwear.byeye.nulls import Null
from panelwear.byeye.recheck import Extrapolation, Look, extrapolate
from panelwear.compare.words import rounded
from panelwear.estimate import Estimate
from panelwear.uncertainty.coverage import effective_dof, t_factor
from patterns.frame import Rect

OVERLAP = 0.3
"""Share of a mark (or of the zone) that must lie on both for the mark to be one of the zone."""


@dataclass(frozen=True, slots=True)
class EyeCheck:
    """One null of a zone beside the instrument's contrast, both in % and as the panel is now."""

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

    @property
    def agrees(self) -> bool:
        """Whether the two lie within the half width of their difference."""
        return abs(self.eye - self.instrument) <= self.half_width

    @property
    def sentence(self) -> str:
        """Say both and whether they agree."""
        both = (
            f"by eye {rounded(self.eye, self.u_eye, True)} ± {rounded(2 * self.u_eye, self.u_eye)} % ({self.method}, "
            f"{self.hue} {self.code:g}), by instrument {rounded(self.instrument, self.u_instrument, True)} % "
            f"({self.instrument_level})"
        )
        if self.agrees:
            return f"Eye and instrument agree: {both}"
        gap = rounded(self.eye - self.instrument, self.half_width, True)
        return (
            f"Eye and instrument do not agree: {both}, {gap} ± {rounded(self.half_width, self.half_width)} % apart; "
            "the eye compares with the surround at the zone's edge, the instrument with the reference zone"
        )


def eye_checks(zone: str, nulls: Sequence[Null], contrasts: Sequence[tuple[str, str, Estimate]]) -> list[EyeCheck]:
    """Put each null of a zone beside the instrument's contrast of the same hue at the nearest code.

    Args:
        zone: its name.
        nulls: of the later checkpoint.
        contrasts: hue, level (``c128``) and contrast in % as it is now.
    """
    found = []
    for null in nulls:
        usable = null.zone == zone and null.contrast_percent is not None and null.u_percent and not null.after_min
        like = [(abs(_code(level) - null.code), level, e) for hue, level, e in contrasts if hue == null.hue]
        if not usable or not like or null.contrast_percent is None or null.u_percent is None:
            continue
        _, level, there = min(like, key=lambda item: item[0])
        dofs = [null.dof or math.inf, there.dof]
        u = math.hypot(null.u_percent, there.u)
        found.append(
            EyeCheck(
                null.method, null.hue, null.code, null.contrast_percent, null.u_percent, there.value, there.u, level,
                t_factor(effective_dof([null.u_percent, there.u], dofs)) * u,
            )
        )  # fmt: skip
    return found


def _code(level: str) -> float:
    try:
        return float(level.lstrip("cYp"))
    except ValueError:
        return math.inf


def marks_on(rect: Rect, zone: str, marks: Sequence[Mark]) -> list[Mark]:
    """Return the marks that became this zone, or that lie on it."""
    return [m for m in marks if m.zone == zone or _share(rect, m.rect) >= OVERLAP]


def _share(a: Rect, b: Rect) -> float:
    across = min(a.x + a.w, b.x + b.w) - max(a.x, b.x)
    down = min(a.y + a.h, b.y + b.h) - max(a.y, b.y)
    return max(across, 0) * max(down, 0) / max(min(a.w * a.h, b.w * b.h), 1)


def fading(zone: str, nulls: Sequence[Null]) -> Extrapolation | None:
    """Tell retention from burn-in by the nulls made after minutes of rest; ``None`` with fewer than three of a kind."""
    series: dict[tuple[str, float], list[Look]] = {}
    for n in nulls:
        if n.zone == zone and n.after_min is not None and n.contrast_percent is not None and n.u_percent:
            look = Look(n.after_min, n.contrast_percent / 100, n.u_percent / 100)
            series.setdefault((n.hue, n.code), []).append(look)
    longest = max(series.values(), key=len, default=[])
    return extrapolate(sorted(longest, key=lambda look: look.minutes)) if len(longest) >= 3 else None


def marked(found: Sequence[Mark]) -> str:
    """Say what was marked, in one clause."""
    kinds = ", ".join(dict.fromkeys(f"{m.kind}, {m.strength}, on {m.field}" for m in found))
    times = "once" if len(found) == 1 else f"{len(found)} times"
    return f"Marked by eye {times} ({kinds})"
