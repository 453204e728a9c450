"""Stability: how much the panel drifted while it was read, and how quiet its readings were."""

from __future__ import annotations

import math

from panelwear.figures.evidence import Evidence
from panelwear.uncertainty.estimate import Component, Estimate, combine

ORDER = 120


def figures(evidence: Evidence) -> list[Estimate]:
    """Return ``stability.drift`` (last reference against the first, %) and ``stability.noise`` (one reading, %).

    With several segments: of the longest.
    """
    fit = evidence.drift.longest
    if fit is None:
        return []
    away, u, dof = fit.over_all()
    minutes = (fit.end_s - fit.start_s) / 60
    moved = combine(
        "stability.drift",
        100 * away,
        "%",
        (Component("drift", 100 * u, dof, "A"),),
        note=f"over {minutes:.0f} min",
        caption="drift while it was read",
    )
    # The standard uncertainty of a standard deviation from ν degrees of freedom, s / sqrt(2 ν) (JCGM 100, E.4.3).
    spread = Component("repeatability", 100 * fit.noise / math.sqrt(2 * fit.dof), fit.dof, "A")
    noise = combine("stability.noise", 100 * fit.noise, "%", (spread,), caption="scatter of one reading of mid-grey")
    return [moved, noise]
