"""A zone read again later in the same checkpoint: does its contrast fade?"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from panelwear.byeye.retention import Extrapolation, RestedContrast, extrapolate
from panelwear.figures.evidence import Evidence
from panelwear.figures.quadruples import quadruples
from panelwear.figures.zone_contrasts import contrasts
from panelwear.uncertainty.coverage import expanded
from panelwear.uncertainty.estimate import Estimate, combine
from panelwear.uncertainty.formatting import with_uncertainty

LEAST_FOR_A_CURVE = 3


@dataclass(frozen=True, slots=True)
class Reread:
    """A zone's contrast in each session that read it."""

    zone: str
    minutes: tuple[float, ...]
    """Since the first."""
    contrasts: tuple[Estimate, ...]
    """Mean over the greys, in %."""
    fading: Extrapolation | None
    """From three sessions on."""

    @property
    def sentence(self) -> str:
        """Say what the sessions tell."""
        if self.fading is not None:
            return f"Read {len(self.minutes)} times: {self.fading.sentence}"
        first, last = self.contrasts[0], self.contrasts[-1]
        apart = combine("", last.value - first.value, "%", (*first.components, *last.components))
        begun, ended = with_uncertainty(first, signed=True), with_uncertainty(last, signed=True)
        seen = f"{begun} at first, {ended} after {self.minutes[-1]:.0f} min"
        if abs(apart.value) <= expanded(apart):
            return f"Read twice: it did not fade beyond the uncertainty ({seen})"
        word = "faded" if abs(last.value) < abs(first.value) else "grew"
        part = ", so part of it is retention" if word == "faded" else ""
        return f"Read twice: it {word} by {with_uncertainty(apart, signed=True)}{part} ({seen})"


def rereads(evidence: Evidence, zone: str) -> Reread | None:
    """Return the contrasts of a zone session by session; ``None`` when fewer than two sessions read it.

    Sessions are put in order by the day's clock: the machine's own starts anew with every boot.
    """
    found: list[tuple[float, Estimate]] = []
    sessions = np.unique(evidence.table.session)
    for session in sessions if len(sessions) > 1 else ():
        rows = evidence.table.session == session
        alone = evidence.cut(rows)
        listed = [q for q in quadruples(alone).get(zone, ()) if q.hue == "grey"]
        joint = contrasts(alone, listed) if listed else None
        if joint is None:
            continue
        mean = joint.times(np.full((1, len(listed)), 1 / len(listed)))
        at = float(alone.table.time_utc_s[alone.table.pair.startswith(f"{zone}.")].mean())
        if math.isnan(at):
            continue
        found.append((at, mean.percent(0, zone)))
    if len(found) < 2:
        return None
    found.sort(key=lambda item: item[0])
    minutes = tuple((t - found[0][0]) / 60 for t, _ in found)
    values = tuple(e for _, e in found)
    curve = None
    if len(found) >= LEAST_FOR_A_CURVE and all(e.u > 0 for e in values):
        curve = extrapolate([RestedContrast(m, e.value / 100, e.u / 100) for m, e in zip(minutes, values, strict=True)])
    return Reread(zone, minutes, values, curve)
