"""Contrast and tint of zones against their references, with all the colours of a zone have in common.

In log ratios, q = [(ln Z1 - ln R1) - (ln R2 - ln Z2)] / 2, the drift-free difference of the NIST/SEMATECH e-Handbook
2.3.3.1.2; C = exp(q) - 1. Above 0 the zone is brighter than its reference: it has aged less.

A zone with lit strips on either side in place of its reference: C = 2 Z / (R1 + R2) - 1, so that what the aperture sees
less of one strip than of the other drops out; the share of the aperture each fills is taken out for a uniform disc. A
field whose zone does not fill the aperture: C divided by the share it fills, and its uncertainty too.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from groundwork.once import once
from panelwear.colorimetry.basic import uv_prime_of
from panelwear.figures.evidence import Evidence
from panelwear.figures.fillings import Filling
from panelwear.figures.jointly import JointFigures, Movement, jointly
from panelwear.figures.means import Mean
from panelwear.figures.quadruples import Quadruple
from panelwear.uncertainty.causes import Source

Real = NDArray[np.float64]

DARKEST = -0.999
"""A contrast below it is no light of the zone's own: so little of it fills the aperture that the rest decides."""


def contrasts(evidence: Evidence, listed: Sequence[Quadruple]) -> JointFigures | None:
    """Return q = 100 ln(L_zone / L_reference), one a quadruple; ``None`` where there is no finite value.

    Once for the same quadruples of one evidence.
    """
    return once(evidence.memo, ("contrasts", *listed), lambda: _contrasts(evidence, listed))


def _contrasts(evidence: Evidence, listed: Sequence[Quadruple]) -> JointFigures | None:
    means: list[Mean] = []
    spans: list[tuple[Quadruple, slice, slice]] = []
    for one in listed:
        start, k = len(means), len(one.own)
        means += [*one.own, *one.other]
        spans.append((one, slice(start, start + k), slice(start + k, start + k + len(one.other))))
    fillings = evidence.record.fillings

    def logs(XYZ: Real) -> Real:
        columns = [
            _whole(_log_ratio(XYZ[:, own, 1], XYZ[:, other, 1], one), fillings.get(one.zone))
            for one, own, other in spans
        ]
        return np.asarray(100 * np.stack(columns, axis=1))

    found = jointly(evidence, means, logs)
    if found is None:
        return None
    more = _aperture(found.values, listed, fillings)
    return found.and_by(more) if more else found


def _log_ratio(own: Real, other: Real, one: Quadruple) -> Real:
    """Return ln(zone / reference): of means of logs, or for strips on either side of the zone of plain means."""
    if one.has_strips:
        return np.asarray(np.log(own.mean(axis=1) / other.mean(axis=1)))
    return np.asarray(np.log(own).mean(axis=1) - np.log(other).mean(axis=1))


def _whole(log_ratio: Real, filling: Filling | None) -> Real:
    """Take out of a log ratio what comes from an aperture that is not filled."""
    if filling is None:
        return log_ratio
    if filling.strip_mm > 0:
        return np.asarray(log_ratio + math.log(filling.other / filling.own))
    return np.asarray(np.log1p(np.maximum(np.expm1(log_ratio) / filling.own, DARKEST)))


def _aperture(values: Real, listed: Sequence[Quadruple], fillings: Mapping[str, Filling]) -> list[Movement]:
    """Return the uncertainty of how much of the aperture is filled: one deviate a zone, alike for all its colours."""
    found = []
    for zone in dict.fromkeys(one.zone for one in listed):
        filling = fillings.get(zone)
        if filling is None or filling.u_balance <= 0:
            continue
        away = -np.expm1(-values / 100) if filling.strip_mm == 0 else np.ones(len(values))
        mine = np.array([one.zone == zone for one in listed])
        # How wide the probe sees is the same at every checkpoint, where it lands is not.
        for name, u, note in (
            ("aperture", filling.u_diameter, "uniform disc, diameter within 2 %"),
            ("placement", filling.u_aside, "0.3 mm aside"),
        ):
            by = (100 * u * away * mine)[:, None]
            found.append(Movement(Source(name, by[:, None, :], note=note), by))
    return found


def tints(evidence: Evidence, listed: Sequence[Quadruple]) -> JointFigures | None:
    """Return (Δu', Δv') of a zone against its reference, mean over these quadruples; ``None`` without colour.

    Once for the same quadruples of one evidence.
    """
    return once(evidence.memo, ("tints", *listed), lambda: _tints(evidence, listed))


def _tints(evidence: Evidence, listed: Sequence[Quadruple]) -> JointFigures | None:
    means = [m for one in listed for m in (*one.own, *one.other)]
    if not means or not all(m.has_colour for m in means):
        return None
    sizes = [len(one.own) for one in listed]
    starts = [2 * sum(sizes[:i]) for i in range(len(sizes))]

    def tint(XYZ: Real) -> Real:
        away = [
            uv_prime_of(XYZ[:, i : i + k].mean(axis=1)) - uv_prime_of(XYZ[:, i + k : i + 2 * k].mean(axis=1))
            for i, k in zip(starts, sizes, strict=True)
        ]
        return np.asarray(np.mean(away, axis=0))

    return jointly(evidence, means, tint)
