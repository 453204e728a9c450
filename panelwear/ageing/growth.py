"""When a figure that grows from where it stands comes to a threshold: a zone's contrast, the shift of white.

It follows any of the laws of ``laws.py``, up or down, and its limits are made like those of a loss. What it is now,
with its uncertainty, comes out of the fit. A threshold may be a band (eyes differ): the lower limit is then for its
lower end, the upper limit for its upper one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from panelwear.ageing.profile import Asked, Condition, Profile, Series, covariance_of, either, profile
from panelwear.ageing.said import LEAST_SIGNAL, Limits, at_ends, no_series, stretches_of, widest

MODEL_SHARE = 0.05
"""What the model itself is worth, as a share of what a figure has moved: what 0.4 % of luminance is of a loss of 8 %
(common practice, no source)."""

Since = Literal["nothing", "baseline", "wear"]
UPPER_COST = 6.63
"""χ² up to which times count for the upper limit: 99 %. It is said only where it comes out near, and those that come
out near by chance would fail too often at 95 %; of those said, 95 % hold (docs/forecast.md)."""


@dataclass(frozen=True, slots=True)
class Growth:
    """A figure at one checkpoint, with a sign."""

    hours: float
    value: float
    u: float
    segment: int = 0
    """Rises where a compensation cycle or another setting cuts the series."""
    hours_u: float = 0.0
    """Standard uncertainty of hours that were estimated."""


@dataclass(frozen=True, slots=True)
class Grown:
    """When a threshold is reached."""

    limits: Limits
    misfit: float
    """Reduced χ² of the best course."""


def growth_limits(points: Sequence[Growth], low: float, high: float, *, since: Since = "nothing") -> Grown:
    """Return when a figure's size comes to a threshold that lies between ``low`` and ``high``.

    Args:
        points: oldest first, four or more (``no_series``), with uncertainties above 0.
        low: least value of the threshold.
        high: largest value of the threshold.
        since: what it counts from: ``nothing`` (its size, above 0 or below), the ``baseline``, or ``wear`` alone, which
            is from the baseline with what happened at cuts left out; the latter two above 0 only.
    """
    each = [_grown(one, (low, high), since) for one in (points, *at_ends(points))]
    return replace(each[0], limits=widest([one.limits for one in each], points[0], points[-1]))


def _grown(points: Sequence[Growth], between: tuple[float, float], since: Since) -> Grown:
    """Return the same for hours as they stand."""
    low, high = between
    hours, y, u, hours_u = (np.array([getattr(p, n) for p in points]) for n in ("hours", "value", "u", "hours_u"))
    u = np.hypot(u, MODEL_SHARE * np.abs(y - y[0]))
    series = Series(hours, y, covariance_of(hours, y, u, hours_u), stretches_of(points), is_log=False)
    k = series.stretches
    level, q = np.zeros(k + 1), np.zeros(k + 1)
    q[-1] = 1
    level[k - 1] += since != "wear"
    level[0] -= since == "baseline"
    signs = (1.0, -1.0) if since == "nothing" else (1.0,)

    def same(c0: float) -> Asked:
        return lambda _: Condition(c0, level, q)

    def found(threshold: float) -> Profile:
        return either([profile(series, same(-sign * threshold)) for sign in signs]).from_hours(series.now)

    sharp, dull = found(low), found(high)
    stands = abs(y[-1]) if since == "nothing" else y[-1] - y[0]
    first = series.now if stands >= low else sharp.limits()[0]
    last = max(dull.limits(UPPER_COST)[1], first)
    moved = _moved(points)
    is_weak = abs(moved[0]) < LEAST_SIGNAL * moved[1]
    return Grown(Limits(first, last, series.begun, series.now, is_weak=is_weak), sharp.chi2 / series.spare)


def _moved(points: Sequence[Growth]) -> tuple[float, float]:
    """Return how far a figure moved within the stretches between cuts, with its standard uncertainty."""
    stretch = stretches_of(points)
    step = variance = 0.0
    for one in range(int(stretch[-1]) + 1):
        held = [p for p, s in zip(points, stretch, strict=True) if s == one]
        if len(held) > 1:
            step += held[-1].value - held[0].value
            variance += held[0].u ** 2 + held[-1].u ** 2
    return step, variance**0.5


def growth_refusal(points: Sequence[Growth], what: str) -> str:
    """Return why nothing is forecast of a figure, or empty text; ``what`` it is called, in the plural."""
    if why := no_series(points):
        return why
    return "" if all(p.u > 0 for p in points) else f"{what} have no uncertainty to judge them by"
