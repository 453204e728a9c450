"""Without a baseline: what a zone's contrast was when new, guessed from the place opposite.

A panel's own unevenness is often symmetric; what is left of it is the uncertainty. It is large, and it is said.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from panelwear.figures.evidence import Evidence
from panelwear.figures.means import Mean
from panelwear.figures.quadruples import Quadruple
from panelwear.figures.zone_contrasts import contrasts
from panelwear.uncertainty.estimate import Component, Estimate, combine
from panelwear.uncertainty.formatting import with_uncertainty
from sequences.keys import thousandths
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


def unbased(evidence: Evidence, one: Quadruple, facts: PanelFacts, *, was_read: bool = False) -> Unbased | None:
    """Return a zone's contrast against its mirror place, or else against its reference, with inflated uncertainty.

    ``was_read``: whether it was read earlier too, in a way that does not compare.
    """
    zone = next((z for z in facts.zones if z.name == one.zone), None)
    if zone is None:
        return None
    opposite = _opposite(evidence, one, zone, facts)
    other = (opposite,) if opposite is not None else one.other
    joint = contrasts(evidence, [replace(one, other=other)])
    if joint is None:
        return None
    found = joint.percent(0, one.name, one.said)
    native = Component("the panel's own unevenness", NATIVE_PERCENT, note="no baseline")
    wider = combine(found.name, found.value, "%", (*found.components, native), caption=found.caption, note=found.note)
    against = opposite.key if opposite is not None else (zone.reference or "its reference")
    where = f"the place opposite ({against})" if opposite is not None else f"'{against}', as no place opposite was read"
    without = "as its earlier reading does not compare," if was_read else "with no earlier reading"
    said = (
        f"{zone.name}: taken for wear, that is {with_uncertainty(wider, signed=True)} against {where}; {without} the "
        f"uncertainty includes {NATIVE_PERCENT:g} % for the panel's own unevenness"
    )
    return Unbased(wider, against, said)


def _opposite(evidence: Evidence, one: Quadruple, zone: Zone, facts: PanelFacts) -> Mean | None:
    """Return the grid reading of the same colour nearest to the mirror image of the zone, on its reference."""
    x, y = 1 - zone.probe_at_px[0] / facts.width_px, zone.probe_at_px[1] / facts.height_px
    near: list[tuple[float, Mean]] = []
    for mean in evidence.select(purpose="grid"):
        at = thousandths(mean.place)
        same = mean.hue == one.hue and mean.codes == one.own[0].codes and mean.geometry == one.own[0].geometry
        seat = (at[0] / 1000, at[1] / 1000) if at else None
        if seat is None or not same or _zone_at(seat, facts) != zone.reference:
            continue
        aspect = facts.height_px / facts.width_px
        near.append((math.hypot(seat[0] - x, (seat[1] - y) * aspect), mean))
    close = [item for item in near if item[0] <= NEAR]
    return min(close, key=lambda item: item[0])[1] if close else None


def _zone_at(seat: tuple[float, float], facts: PanelFacts) -> str:
    """Return the zone that lies uppermost at a place; a later zone lies over an earlier one."""
    x, y = seat[0] * facts.width_px, seat[1] * facts.height_px
    over = [z for z in facts.zones if z.rect.x <= x < z.rect.x + z.rect.w and z.rect.y <= y < z.rect.y + z.rect.h]
    return over[-1].name if over else ""
