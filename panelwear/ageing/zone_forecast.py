"""When a zone's contrast comes to a threshold: one that a person names, or the one it becomes visible at.

Unlike a loss, a contrast counts from nothing, so what it is now (with its uncertainty) stands at the start. The
threshold of the visibility index is a band, for eyes differ: it is in the limits.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from panelwear.ageing.growth import Growth, growth_limits, growth_refusal
from panelwear.ageing.said import LARGEST_MISFIT, Limits, condition_of
from panelwear.telling.words import as_typed
from panelwear.uncertainty.formatting import rounded


@dataclass(frozen=True, slots=True)
class ZoneForecast:
    """What may be said about a zone becoming visible, or its contrast reaching a value."""

    zone: str
    said: str
    """``visible`` or ``reached`` already, ``refused``, ``bound``, ``indicative`` or ``interval``."""
    low_h: float
    """"Not before", in hours of use; ``nan`` when refused or there already."""
    high_h: float
    """Upper limit; ``inf`` where only the bound may be said."""
    sentence: str
    why: str = ""
    """Why it is refused."""


def zone_forecast(
    zone: str,
    points: Sequence[Growth],
    threshold_percent: float,
    band: float | None = None,
    *,
    against: str = "",
    stands: str = "",
) -> ZoneForecast:
    """Say when a zone's contrast comes to a threshold, or why that cannot be said.

    Args:
        zone: its name.
        points: contrasts in % of its reference, above 0 where the zone is brighter; oldest first, the baseline at any
            hours of use.
        threshold_percent: contrast that is asked for.
        band: share by which a threshold of visibility may be another for other eyes; ``None``: no eye is asked, the
            contrast itself is.
        against: what speaks against any forecast from these checkpoints, known beforehand.
        stands: what the contrast is now, as a comparison tells it; by default the newest of the points.
    """
    now = points[-1] if points else Growth(math.nan, math.nan, math.nan)
    contrast = stands or f"{rounded(now.value, 2 * now.u, True)} ± {rounded(2 * now.u, 2 * now.u)} % now"
    if band is not None:
        contrast += f", just noticed from {threshold_percent:.2g} % on"
    if abs(now.value) >= threshold_percent:
        words = (
            "is visible already" if band is not None else f"has a contrast of {as_typed(threshold_percent)} % already"
        )
        said = "visible" if band is not None else "reached"
        return ZoneForecast(zone, said, math.nan, math.nan, f"{zone} {words} ({contrast}).")
    why = against or growth_refusal(points, "its contrasts")
    found = None
    if not why:
        found = growth_limits(points, threshold_percent * (1 - (band or 0)), threshold_percent * (1 + (band or 0)))
        if found.misfit > LARGEST_MISFIT:
            why = f"its contrasts do not lie on a course of wear (reduced χ² {found.misfit:.1f})"
    if found is None or why:
        return ZoneForecast(zone, "refused", math.nan, math.nan, f"No forecast for {zone}: {why} ({contrast}).", why)
    phrases = _VISIBLE if band is not None else _contrast_words(threshold_percent)
    return _told(zone, found.limits, phrases, (condition_of(points), contrast))


_VISIBLE = ("may be visible", "does not become visible", "becomes visible")


def _contrast_words(percent: float) -> tuple[str, str, str]:
    it = f"{as_typed(percent)} % contrast"
    return f"may have {it}", f"does not come to {it}", f"comes to {it}"


def _told(zone: str, limits: Limits, words: tuple[str, str, str], ends: tuple[str, str]) -> ZoneForecast:
    (may, does_not, does), (on, contrast) = words, ends
    if limits.kind == "bound":
        least = limits.bound_h
        if limits.may_be_now:
            first = f"{may} at any time from now on"
        else:
            first = f"{does_not} before {limits.first(least)} h of use"
        said = f"{zone} {first} (95 %), {on}; no more can be said from {limits.seen} ({contrast})."
        return ZoneForecast(zone, "bound", least, math.inf, said)
    said = f"{zone} {does} {limits.between()}, {on} ({contrast})."
    return ZoneForecast(zone, limits.kind, limits.low_h, limits.high_h, said)
