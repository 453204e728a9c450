"""Zone contrast: each zone against its reference from Z R R Z, per channel and level.

In log ratios, q = [(ln Z1 - ln R1) - (ln R2 - ln Z2)] / 2, the drift-free difference of the NIST/SEMATECH e-Handbook
2.3.3.1.2; C = exp(q) - 1. Above 0 the zone is brighter than its reference: it has aged less.

A zone with lit strips on either side in place of its reference: C = 2 Z / (R1 + R2) - 1, so that what the aperture sees
less of one strip than of the other drops out; the share of the aperture each fills is taken out for a uniform disc. A
field whose zone does not fill the aperture: C divided by the share it fills, and its uncertainty too.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from panelwear.colorimetry.basic import uv_prime_of
from panelwear.figures.evidence import Evidence, Told
from panelwear.figures.fillings import Filling
from panelwear.figures.quadruples import quadruples
from panelwear.uncertainty.estimate import Component, Estimate, combine

ORDER = 100

Real = NDArray[np.float64]


def figures(evidence: Evidence) -> list[Estimate]:
    """Return ``zone/<zone>/<hue>/<level>.contrast`` in %, and for greys ``.du_prime`` and ``.dv_prime``."""
    found: list[Estimate] = []
    for one in (one for listed in quadruples(evidence).values() for one in listed):
        own, other, first, k = one.own, one.other, one.own[0], len(one.own)
        name = f"zone/{one.zone}/{one.hue}/{one.level}"
        said = f"{one.zone}, {one.hue} {one.level}"
        filling = evidence.record.fillings.get(one.zone)
        strips = first.pattern == "strip" and first.place == other[0].place

        def contrast(XYZ: Real, k: int = k, filling: Filling | None = filling, strips: bool = strips) -> Real:
            Y = XYZ[:, :, 1]
            away = np.log(Y[:, :k].mean(axis=1) / Y[:, k:].mean(axis=1)) if strips else _drift_free(np.log(Y), k)
            return _whole(100 * np.expm1(away), filling)

        def tint(XYZ: Real, k: int = k) -> Real:
            return uv_prime_of(XYZ[:, :k].mean(axis=1)) - uv_prime_of(XYZ[:, k:].mean(axis=1))

        told = Told(f"{name}.contrast", "%", f"{said}, contrast against its reference")
        found.append(_told(evidence.estimate(told, own + other, contrast), filling, strips))
        if one.hue == "grey" and all(m.has_colour for m in own + other):
            parts = [Told(f"{name}.{part}", "1", f"{said}, {part[:2].replace('d', 'Δ')}'") for part in
                     ("du_prime", "dv_prime")]  # fmt: skip
            found += evidence.estimates(parts, own + other, tint)
    return found


def _drift_free(logs: Real, k: int) -> Real:
    return np.asarray(logs[:, :k].mean(axis=1) - logs[:, k:].mean(axis=1))


def _whole(percent: Real, filling: Filling | None) -> Real:
    """Take out of a contrast in % what comes from an aperture that is not filled."""
    if filling is None:
        return percent
    if filling.strip_mm > 0:
        return np.asarray(100 * ((1 + percent / 100) * filling.other / filling.own - 1))
    return np.asarray(percent / filling.own)


def _told(estimate: Estimate, filling: Filling | None, strips: bool) -> Estimate:
    """Say how much of the aperture was filled, and add the uncertainty of that."""
    if filling is None:
        weighed = "strips beside the zone, the aperture's weighting not taken out: compare with the baseline's only"
        return replace(estimate, note="; ".join(p for p in (weighed, estimate.note) if p)) if strips else estimate
    note = "; ".join(part for part in (_words(filling), estimate.note) if part)
    size = abs(estimate.value) if filling.strip_mm == 0 else abs(100 + estimate.value)
    part = Component("aperture", size * filling.u_balance, note="uniform disc, 0.3 mm aside, diameter within 2 %")
    parts = (*estimate.components, part) if part.u > 0 else estimate.components
    return combine(estimate.name, estimate.value, estimate.unit, parts, note=note, caption=estimate.caption)


def _words(filling: Filling) -> str:
    own, other = f"{100 * filling.own:.0f} %", f"{100 * filling.other:.0f} %"
    if filling.in_place:
        return f"strips of {filling.strip_mm:.1f} mm fill {own} of the aperture on the zone, {other} beside it"
    if filling.strip_mm > 0:
        return f"a strip of {filling.strip_mm:.1f} mm fills {own} of the aperture, on its reference {other}"
    return f"the zone fills {own} of the aperture: contrast divided by that"
