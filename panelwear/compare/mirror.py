"""Without a baseline: what a zone's contrast was when new, guessed from the place opposite.

A panel's own unevenness is often symmetric; what is left of it is the uncertainty. It is large, and it is said.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from panelwear.compare.formatting import with_uncertainty
from panelwear.compare.zone_steps import percent
from panelwear.figures.evidence import Evidence, Told
from panelwear.figures.fillings import Filling
from panelwear.figures.means import Mean
from panelwear.figures.quadruples import Quadruple
from panelwear.uncertainty.estimate import Component, Estimate, combine
from sequences.model import PanelFacts, Zone

NATIVE_PERCENT = 2.0
"""Standard uncertainty of a new panel's contrast between two places (several percent between extremes; common
practice, no source)."""
NEAR = 0.12
"""How far from the exact mirror image a reading may lie, as a share of the panel's width."""


@dataclass(frozen=True, slots=True)
class Unbased:
    """A zone's contrast with its factory value guessed."""

    contrast: Estimate
    """In %, the panel's own unevenness in its uncertainty."""
    against: str
    """What it was compared with: the mirror place's key, or the reference."""
    sentence: str


def unbased(evidence: Evidence, one: Quadruple, facts: PanelFacts) -> Unbased | None:
    """Return a zone's contrast against its mirror place, or else against its reference, with inflated uncertainty."""
    zone = next((z for z in facts.zones if z.name == one.zone), None)
    if zone is None:
        return None
    opposite = _opposite(evidence, one, zone, facts)
    other = (opposite,) if opposite is not None else one.other
    found = _filled(_ratio(evidence, one, other), evidence.record.fillings.get(one.zone))
    if not math.isfinite(found.value):
        return None
    native = Component("the panel's own unevenness", NATIVE_PERCENT, note="no baseline")
    wider = combine(found.name, found.value, "%", (*found.components, native), caption=found.caption, note=found.note)
    against = opposite.key if opposite is not None else (zone.reference or "its reference")
    where = f"the place opposite ({against})" if opposite is not None else f"'{against}', as no place opposite was read"
    said = (
        f"{zone.name}: taken for wear, that is {with_uncertainty(wider, signed=True)} against {where}; with no earlier "
        f"reading the uncertainty includes {NATIVE_PERCENT:g} % for the panel's own unevenness"
    )
    return Unbased(wider, against, said)


def _ratio(evidence: Evidence, one: Quadruple, other: tuple[Mean, ...]) -> Estimate:
    k = len(one.own)
    told = Told(f"zone/{one.zone}/{one.hue}/{one.level}", "%", f"{one.zone}, {one.hue} {one.level}")

    def log_ratio(XYZ: np.ndarray) -> np.ndarray:
        logs = 100 * np.log(XYZ[:, :, 1])
        return np.asarray(logs[:, :k].mean(axis=1) - logs[:, k:].mean(axis=1))

    found = evidence.estimate(told, [*one.own, *other], log_ratio)
    return percent(found) if math.isfinite(found.value) else replace(found, note="cannot be worked out")


def _filled(found: Estimate, filling: Filling | None) -> Estimate:
    """Put back into a contrast in % what an aperture that is not filled took away, as in the contrasts of a pair."""
    if filling is None or not math.isfinite(found.value):
        return found
    ratio = 1 + found.value / 100
    if filling.strip_mm > 0:
        by = filling.other / filling.own
        whole, stretched, moved = ratio * by, by, ratio * by
    else:
        whole = 1 + max((ratio - 1) / filling.own, -0.999)
        stretched, moved = 1 / filling.own, whole - 1
    parts = tuple(replace(c, u=c.u * stretched) for c in found.components)
    for name, u, note in (
        ("aperture", filling.u_diameter, "uniform disc, diameter within 2 %"),
        ("placement", filling.u_aside, "0.3 mm aside"),
    ):
        if u > 0:
            parts += (Component(name, 100 * u * abs(moved), note=note),)
    return combine(found.name, 100 * (whole - 1), found.unit, parts, note=found.note, caption=found.caption)


def _opposite(evidence: Evidence, one: Quadruple, zone: Zone, facts: PanelFacts) -> Mean | None:
    """Return the grid reading of the same colour nearest to the mirror image of the zone, on its reference."""
    x, y = 1 - zone.probe_at_px[0] / facts.width_px, zone.probe_at_px[1] / facts.height_px
    near: list[tuple[float, Mean]] = []
    for mean in evidence.select(purpose="grid"):
        seat = _seat(mean.place)
        same = mean.hue == one.hue and mean.codes == one.own[0].codes and mean.geometry == one.own[0].geometry
        if seat is None or not same or _zone_at(seat, facts) != zone.reference:
            continue
        aspect = facts.height_px / facts.width_px
        near.append((math.hypot(seat[0] - x, (seat[1] - y) * aspect), mean))
    close = [item for item in near if item[0] <= NEAR]
    return min(close, key=lambda item: item[0])[1] if close else None


def _seat(place: str) -> tuple[float, float] | None:
    if place == "centre":
        return (0.5, 0.5)
    across, _, down = place.removeprefix("x").partition("y")
    return (int(across) / 1000, int(down) / 1000) if across.isdigit() and down.isdigit() else None


def _zone_at(seat: tuple[float, float], facts: PanelFacts) -> str:
    """Return the zone that lies uppermost at a place; a later zone lies over an earlier one."""
    x, y = seat[0] * facts.width_px, seat[1] * facts.height_px
    over = [z for z in facts.zones if z.rect.x <= x < z.rect.x + z.rect.w and z.rect.y <= y < z.rect.y + z.rect.h]
    return over[-1].name if over else ""
