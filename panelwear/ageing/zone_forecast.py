"""When a zone will become visible: its contrast against the threshold the visibility index has for it.

The contrast follows any of the laws of ``laws.py``, either way; its limits are made like those of ``forecast.py``, and
the threshold's own band is in them: the lower limit is for a sharp eye, the upper for a dull one. Unlike a loss, a
contrast counts from nothing, so what it is now (with its uncertainty) stands at the start.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.ageing.laws import LAWS, reached
from panelwear.ageing.loss_forecast import (
    CHI2_95,
    CONDITION,
    FARTHEST,
    INDICATIVE,
    LARGEST_MISFIT,
    LEAST_SIGNAL,
    WIDEST,
    no_series,
    rounded_hours,
)
from panelwear.uncertainty.formatting import rounded

Real = NDArray[np.float64]

STEPS = np.linspace(-5, 5, 161)
"""Steps since the baseline that are tried, in standard uncertainties of the one that was read."""
NOW = np.linspace(-2, 2, 5)
"""Contrasts now that are tried, likewise."""


@dataclass(frozen=True, slots=True)
class ContrastAtHours:
    """A zone's contrast at one checkpoint, in % of its reference; above 0 the zone is brighter."""

    hours: float
    percent: float
    u: float
    segment: int = 0
    """Rises where a compensation cycle or another setting cuts the series."""


@dataclass(frozen=True, slots=True)
class ZoneForecast:
    """What may be said about a zone becoming visible."""

    zone: str
    said: str
    """``visible`` already, ``refused``, ``bound``, ``indicative`` or ``interval``."""
    low_h: float
    """"Not before", in hours of use; ``nan`` when refused or visible."""
    high_h: float
    """Upper limit; ``inf`` where only the bound may be said."""
    sentence: str


def zone_forecast(
    zone: str, points: Sequence[ContrastAtHours], threshold_percent: float, band: float = 0.0, against: str = ""
) -> ZoneForecast:
    """Say when a zone becomes visible, or why that cannot be said.

    Args:
        zone: its name.
        points: oldest first, the baseline at any hours of use.
        threshold_percent: contrast that half of the observers just notice in this zone (``Visibility``).
        band: share by which that threshold may be another for other eyes.
        against: what speaks against any forecast from these checkpoints, known beforehand.
    """
    now = points[-1] if points else ContrastAtHours(math.nan, math.nan, math.nan)
    contrast = f"{rounded(now.percent, 2 * now.u, True)} % now, just noticed from {threshold_percent:.2g} % on"
    if abs(now.percent) >= threshold_percent:
        said = f"{zone} is visible already ({contrast})."
        return ZoneForecast(zone, "visible", math.nan, math.nan, said)
    why = against or _refusal(points)
    if not why:
        low, high, chi2 = _limits(points, threshold_percent, band)
        reduced = chi2 / max(len(points) - 3, 1)
        if reduced > LARGEST_MISFIT:
            why = f"its contrasts do not lie on a course of wear (reduced χ² {reduced:.1f})"
    if why:
        return ZoneForecast(zone, "refused", math.nan, math.nan, f"No forecast for {zone}: {why} ({contrast}).")
    return _told(zone, (low, high), points, contrast)


def _refusal(points: Sequence[ContrastAtHours]) -> str:
    if why := no_series(points):
        return why
    return "" if all(p.u > 0 for p in points) else "its contrasts have no uncertainty to judge them by"


def _limits(points: Sequence[ContrastAtHours], threshold: float, band: float) -> tuple[float, float, float]:
    """Return lower and upper limit in hours, and χ² at the best course."""
    h, y, u = (np.array([getattr(p, name) for p in points]) for name in ("hours", "percent", "u"))
    begun, now = float(h[0]), float(h[-1])
    q = y[-1] - y[0] + STEPS * math.hypot(u[0], u[-1])
    ends: list[Real] = []
    found = []
    for law in LAWS:
        model = q[None, :, None] * law.course(h, begun, now)[:, None, :]
        A = ((y - model) / u**2).sum(axis=2) / (1 / u**2).sum()
        found.append((law, (((y - model - A[:, :, None]) / u) ** 2).sum(axis=2)))
    least = min(float(chi2.min()) for _, chi2 in found)
    for law, chi2 in found:
        for away in NOW:
            kept = chi2 - least + away**2 <= CHI2_95
            for share in (1 - band, 1 + band):
                wanted = np.broadcast_to(_share(q, y[-1] + away * u[-1], threshold * share), chi2.shape)
                ends.append(reached(law, wanted, begun, now)[kept])
    every = np.concatenate(ends)
    return max(float(every.min()), now), float(every.max()), least


def _share(q: Real, contrast: float, threshold: float) -> Real:
    """Return the share of a step q at which a contrast that is ``contrast`` now comes to the threshold, either sign."""
    left = np.maximum(np.where(q > 0, threshold - contrast, threshold + contrast), 0.0)
    with np.errstate(divide="ignore"):
        return np.asarray(np.where(q == 0, np.inf, 1 + left / np.abs(q)))


def _told(zone: str, limits: tuple[float, float], points: Sequence[ContrastAtHours], contrast: str) -> ZoneForecast:
    (low, high), begun, now = limits, points[0].hours, points[-1].hours
    span, soon, late = now - begun, limits[0] - begun, limits[1] - begun
    moved = abs(points[-1].percent - points[0].percent)
    # A course that is told from a weak signal looks fast or slow by chance: only its lower limit is worth saying.
    is_weak = moved < LEAST_SIGNAL * math.hypot(points[0].u, points[-1].u)
    if is_weak or soon > FARTHEST * span or late > WIDEST * soon:
        least = begun + min(soon, FARTHEST * span)
        if least <= now:
            first = "may be visible at any time from now on"
        else:
            first = f"does not become visible before {max(rounded_hours(least, begun, math.floor), now):.0f} h of use"
        said = f"{zone} {first} (95 %), {CONDITION}; no more can be said from {span:g} h ({contrast})."
        return ZoneForecast(zone, "bound", least, math.inf, said)
    kind = "indicative" if late > INDICATIVE * span else "interval"
    word = ", indicative only" if kind == "indicative" else ""
    first = f"{max(rounded_hours(low, begun, math.floor), now):.0f}"
    last = f"{rounded_hours(high, begun, math.ceil):.0f}"
    said = f"{zone} becomes visible between {first} and {last} h of use (95 %{word}), {CONDITION} ({contrast})."
    return ZoneForecast(zone, kind, low, high, said)
