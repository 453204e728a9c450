"""Each zone against its reference, colour by colour; how, is told in ``figures/zone_contrasts.py``."""

from __future__ import annotations

from dataclasses import replace

from panelwear.figures.evidence import Evidence, Told, missing
from panelwear.figures.fillings import Filling
from panelwear.figures.quadruples import Quadruple, quadruples
from panelwear.figures.zone_contrasts import contrasts, tints
from panelwear.uncertainty.estimate import Estimate

ORDER = 100


def figures(evidence: Evidence) -> list[Estimate]:
    """Return ``zone/<zone>/<hue>/<level>.contrast`` in %, and for greys ``.du_prime`` and ``.dv_prime``."""
    found: list[Estimate] = []
    for one in (one for listed in quadruples(evidence).values() for one in listed):
        found.append(_contrast(evidence, one))
        if one.hue == "grey" and (tint := tints(evidence, [one])) is not None:
            said = f"{one.said}, Δ"
            found += [tint.estimate(i, f"{one.name}.d{p}_prime", "1", f"{said}{p}'") for i, p in enumerate("uv")]
    return found


def _contrast(evidence: Evidence, one: Quadruple) -> Estimate:
    name, said = f"{one.name}.contrast", f"{one.said}, contrast to reference"
    joint = contrasts(evidence, [one])
    if joint is None:
        return missing(Told(name, "%", said), "cannot be worked out from these readings")
    estimate = joint.percent(0, name, said)
    note = _filled(evidence.record.fillings.get(one.zone), one)
    return replace(estimate, note="; ".join(part for part in (note, estimate.note) if part))


def _filled(filling: Filling | None, one: Quadruple) -> str:
    """Say how much of the aperture was filled."""
    if filling is None:
        beside = "strips beside the zone, the aperture's weighting not taken out: compare with the baseline's only"
        return beside if one.has_strips else ""
    own, other = f"{100 * filling.own:.0f} %", f"{100 * filling.other:.0f} %"
    if filling.in_place:
        return f"strips of {filling.strip_mm:.1f} mm fill {own} of the aperture on the zone, {other} beside it"
    if filling.strip_mm > 0:
        return f"a strip of {filling.strip_mm:.1f} mm fills {own} of the aperture, on its reference {other}"
    return f"the zone fills {own} of the aperture: contrast divided by that"
