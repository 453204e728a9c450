"""The panel's own light: what room and probe add is taken off; of a dark patch, that may leave a bound.

The reading of the switched-off screen holds the room's light and the probe's own floor, that of the covered probe the
floor alone. It must be under a twentieth of black; it is subtracted when both exceed what the probe can tell from
nothing (IEC 62977-2-1). Otherwise black is known only to be at or below what was read.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from panelwear.figures.evidence import Evidence, Told
from panelwear.figures.means import Mean
from panelwear.figures.pick import black
from panelwear.uncertainty.coverage import t_factor
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.propagate import Function

Real = NDArray[np.float64]

LEAST_SHARE = 1 / 20
"""Light that is not the panel's must be under this share of black (IEC 62977-2-1)."""
SURE = 1.5
"""Times what can be detected, from where on black is a value and no bound.

Of a black that is hardly there, only the readings that scatter upwards are ever detected: as values they would be too
high nearly always (detected, but not quantified: Currie 1968).
"""
SAID = {"screen-off": "the switched-off screen reads", "probe-floor": "the covered probe reads"}


@dataclass(frozen=True, slots=True, eq=False)
class OwnLight:
    """What a dark patch gives by itself."""

    estimate: Estimate
    """In cd/m²; ``<`` when it is only a bound."""
    taken_off: Mean | None = None
    """Readings without the panel's light that are to be subtracted."""


def own_light(evidence: Evidence, mean: Mean, told: Told) -> OwnLight:
    """Return the light of a dark patch itself, with a note that says what was done about room and probe."""
    read = evidence.estimate(told, [mean], lambda XYZ: np.asarray(XYZ[:, 0, 1]))
    if evidence.is_dark(mean):
        said = f"read {read.value:.4f} cd/m², below the probe's floor"
        if read.value < -_told_from_nothing(evidence, mean):
            said += "; light cannot be negative: the probe's zero is off. Cover it, let it find its zero, read again"
        return OwnLight(_bound(read, evidence.floor_for(mean), said))
    if read.value < SURE * _told_from_nothing(evidence, mean):
        return OwnLight(_bound(read, 0.0, f"read {read.value:.4f} cd/m², only just detected"))
    purpose = next((p for p in ("screen-off", "probe-floor") if p in evidence.dark), None)
    if purpose is None:
        return OwnLight(read)
    other = evidence.dark[purpose]
    said = f"{SAID[purpose]} {other.Y:.4f} cd/m²"
    share = "more than" if other.Y > LEAST_SHARE * mean.Y else "under"
    said += f", {share} a twentieth of black"
    if not evidence.is_dark(other):
        return _without(evidence, told, (mean, other), said)
    if other.Y <= LEAST_SHARE * mean.Y:
        return OwnLight(_with_note(read, said))
    return OwnLight(_bound(read, 0.0, f"{said} and not detected: black is at or below what was read"))


def bases(before: Evidence, after: Evidence, means: Sequence[Mean]) -> tuple[Mean, Mean] | None:
    """Return what stands under every patch of both checkpoints: black, else the switched-off screen, alike on both.

    It holds the room's light that the screen throws back, the probe's zero and what a dark panel lets through; less it,
    a channel is its own light. ``None`` where both were not read, or not in the quantities of ``means``.
    """
    wants_colour = any(m.has_colour for m in means)
    for found in ([black(e) for e in (before, after)], [e.dark.get("screen-off") for e in (before, after)]):
        then, now = found
        if then is not None and now is not None and (not wants_colour or (then.has_colour and now.has_colour)):
            return then, now
    return None


def net(function: Function, *counts: int) -> Function:
    """Return a function of patches that come in groups, each with what stands under it last, which is taken off.

    Args:
        function: of the patches alone, ``(m, k, 3)`` to ``(m, q)``.
        counts: patches of each group, the last one not counted.
    """

    def of_own_light(XYZ: Real) -> Real:
        groups, at = [], 0
        for count in counts:
            groups.append(XYZ[:, at : at + count] - XYZ[:, at + count, None])
            at += count + 1
        return function(np.concatenate(groups, axis=1))

    return of_own_light


def _without(evidence: Evidence, told: Told, means: tuple[Mean, Mean], said: str) -> OwnLight:
    mean, other = means
    net = evidence.estimate(told, list(means), lambda XYZ: np.asarray(XYZ[:, 0, 1] - XYZ[:, 1, 1]))
    from_nothing = math.hypot(_told_from_nothing(evidence, mean), _told_from_nothing(evidence, other))
    floor = max(evidence.floor_cd_m2, from_nothing)
    if net.value < max(floor, SURE * from_nothing):
        return OwnLight(_bound(net, floor, f"{said}: what is left of {mean.Y:.4f} cd/m² is too little to be sure of"))
    return OwnLight(_with_note(net, f"{said}; taken off"), other)


def _told_from_nothing(evidence: Evidence, mean: Mean) -> float:
    """Return the least luminance the scatter of these readings can tell from nothing, in cd/m²."""
    return max(evidence.meter.floor_cd_m2(mean.n), 3.3 * mean.u_Y)


def _bound(estimate: Estimate, floor_cd_m2: float, note: str) -> Estimate:
    """Turn an estimate into an upper bound that holds with 95 %: its floor, or what scatter allows beyond it."""
    upper = max(floor_cd_m2, estimate.value + t_factor(estimate.dof, 0.90) * estimate.u)
    return _with_note(replace(estimate, value=upper, limit="<"), note)


def _with_note(estimate: Estimate, note: str) -> Estimate:
    return replace(estimate, note="; ".join(part for part in (note, estimate.note) if part))
