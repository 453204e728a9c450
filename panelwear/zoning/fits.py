"""Whether the probe fits into a zone, said in words, with millimetres and what to do."""

from __future__ import annotations

import math
from dataclasses import dataclass

from panelwear.panel.aperture import filled_by_rect, filled_fraction
from panelwear.zoning.plan import Drawn, Plan
from patterns.frame import Rect
from sequences.zones import NARROW

WHOLE = 0.995
"""From this share on the aperture counts as filled: less than the uncertainty of putting the probe down."""


@dataclass(frozen=True, slots=True)
class Probe:
    """What is known of the probe's aperture on this panel."""

    aperture_mm: float
    pitch_mm: tuple[float, float]
    assumed: bool = False
    """``probe.toml`` does not state it."""

    @property
    def radii_px(self) -> tuple[float, float]:
        """Half the aperture in pixels, across and down."""
        return (self.aperture_mm / 2 / self.pitch_mm[0], self.aperture_mm / 2 / self.pitch_mm[1])

    @property
    def told(self) -> str:
        """The aperture in words."""
        return f"{self.aperture_mm:g} mm" + (" (assumed)" if self.assumed else "")

    def mm(self, rect: Rect) -> tuple[float, float]:
        """Size of a rectangle in millimetres."""
        return (rect.w * self.pitch_mm[0], rect.h * self.pitch_mm[1])

    def sees(self, rect: Rect, at: tuple[float, float]) -> float:
        """Return which share of the aperture a rectangle fills, with the probe at a place (0..1)."""
        across, down = self.pitch_mm
        inside = (rect.x * across, rect.y * down, rect.w * across, rect.h * down)
        return filled_by_rect(inside, (at[0] * across, at[1] * down), self.aperture_mm)


@dataclass(frozen=True, slots=True)
class Fit:
    """How a zone and the probe go together."""

    word: str
    """``fits``, ``tight``, ``too narrow``, ``off its edge`` or ``covered``."""
    sentence: str

    @property
    def is_good(self) -> bool:
        """Whether there is nothing to be done."""
        return self.word == "fits"


def fit_of(zone: Drawn, plan: Plan, probe: Probe) -> Fit:
    """Judge one zone, with all that lies over it."""
    for found in (_size(zone, probe), _place(zone, probe), _covered(zone, plan, probe)):
        if found is not None:
            return found
    return Fit("fits", f"Fits: the probe's aperture of {probe.told} sees this zone alone.")


def _size(zone: Drawn, probe: Probe) -> Fit | None:
    width, height = probe.mm(zone.rect)
    short, side = min((width, "wide"), (height, "high"))
    pitch = probe.pitch_mm[0 if side == "wide" else 1]
    if short < probe.aperture_mm:
        need = math.ceil(probe.aperture_mm / pitch)
        share = 100 * filled_fraction(probe.aperture_mm, short)
        return Fit(
            "too narrow",
            f"Too narrow: {short:.1f} mm {side}, the aperture is {probe.told}; it fills {share:.0f} % of what the "
            f"probe sees. Draw it at least {need} px {side}, take a probe that sees less, or leave it: it is read "
            "through a lit strip then.",
        )
    if short < NARROW * probe.aperture_mm:
        need = math.ceil(NARROW * probe.aperture_mm / pitch)
        return Fit(
            "tight",
            f"Tight: {short:.1f} mm {side}, an aperture of {probe.told} needs {NARROW * probe.aperture_mm:g} mm to be "
            f"put down by hand. Draw it at least {need} px {side}, or leave it: it is read through a lit strip then.",
        )
    return None


def _place(zone: Drawn, probe: Probe) -> Fit | None:
    share = probe.sees(zone.rect, zone.probe_at_px)
    if share >= WHOLE:
        return None
    return Fit(
        "off its edge",
        f"The probe sits over the zone's edge: {100 * share:.0f} % of what it sees is this zone. Move its place at "
        f"least {probe.aperture_mm / 2:g} mm from every edge; 0 puts it into the middle.",
    )


def _covered(zone: Drawn, plan: Plan, probe: Probe) -> Fit | None:
    later = plan.zones[plan.zones.index(zone) + 1 :]
    over = [(share, z.name) for z in later if (share := probe.sees(z.rect, zone.probe_at_px)) > 1 - WHOLE]
    if not over:
        return None
    share, name = max(over)
    return Fit(
        "covered",
        f"Where the probe sits, {name} lies over this zone: {100 * share:.0f} % of what it sees. Move the probe's "
        "place (space, then arrows), or change the order (PgUp, PgDn).",
    )
