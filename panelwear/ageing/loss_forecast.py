"""When a loss will be reached: refused, a lower bound, or two limits. Few checkpoints of one panel bear no more.

Every plausible law of ``laws.py`` is fitted, with the baseline's own value left free (it is measured too), and the
limits are those of the profile of the time itself (``profile.py``), over the shapes of all laws. The loss x counts from
the baseline, which need not be at 0 h. The delta method would fail: the distribution is skewed.

Where a compensation cycle or another setting cuts the series, the stretch behind it has an offset of its own and the
course goes on. What a cycle gave or took counts, for the light is what it is; what a setting did is no wear.

The condition: wear goes on as one of these laws does. One that speeds up after the newest checkpoint comes sooner.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from panelwear.ageing.laws import LAWS, Law
from panelwear.ageing.likeliest import likeliest
from panelwear.ageing.profile import Condition, Series, covariance_of, profile
from panelwear.ageing.said import LARGEST_MISFIT, LEAST_SIGNAL, Limits, condition_of, no_series, stretches_of

MODEL_U = 0.004
"""What the model itself is worth, as a share of luminance (0.3 to 0.5 %; common practice, no source)."""


@dataclass(frozen=True, slots=True)
class ValueAtHours:
    """One checkpoint of a figure that wears."""

    hours: float
    """Of use, or effective hours where light was not always the same."""
    log_kept: float
    """ln of luminance over the baseline's; 0 at the baseline."""
    u: float
    """Standard uncertainty, as a share of luminance."""
    segment: int = 0
    """Rises where a compensation cycle or another setting cuts the series."""
    setting: int = 0
    """Rises where another setting does."""
    hours_u: float = 0.0
    """Standard uncertainty of hours that were estimated."""


@dataclass(frozen=True, slots=True)
class Forecast:
    """What may be said about reaching a loss since the baseline."""

    target_loss: float
    said: str
    """``refused``, ``bound``, ``indicative`` or ``interval``."""
    low_h: float
    """"Not before": lower 95 % limit in hours of use; ``nan`` when refused."""
    high_h: float
    """Upper limit; ``inf`` where only the bound may be said."""
    laws: tuple[str, ...]
    """Which laws the checkpoints allow."""
    sentence: str
    likely_h: float = math.nan
    """By the stretched exponential that fits best; ``nan`` where no upper limit may be said."""
    b: float = math.nan
    """Its exponent."""
    b_u: float = math.nan
    alone_low_h: float = math.nan
    """Limits by the stretched exponential alone: what the band over the other laws adds is the rest."""
    alone_high_h: float = math.nan


def forecast(
    points: Sequence[ValueAtHours], target_loss: float = 0.20, against: str = "", drift_u: float = 0.0
) -> Forecast:
    """Say when a loss since the baseline will be reached, or why that cannot be said.

    Args:
        points: oldest first, the baseline at any hours of use.
        target_loss: share of the baseline's luminance, such as 0.2.
        against: what speaks against any forecast from these checkpoints, known beforehand.
        drift_u: what the probe may have drifted by from first to last, as a share; common to all checkpoints.
    """
    why = against or refusal(points)
    if why:
        return _refused(target_loss, why)
    series = series_of(points, drift_u)
    counts = points[0].setting == points[-1].setting
    found = profile(series, lambda law: condition(law, target_loss, series.stretches, counts))
    if found.chi2 / series.spare > LARGEST_MISFIT:
        return _refused(
            target_loss, f"the checkpoints do not lie on a decay curve (reduced χ² {found.chi2 / series.spare:.1f})"
        )
    lost = points[0].log_kept - points[-1].log_kept if counts else _lost(points)
    is_reached = 1 - math.exp(-lost) >= target_loss
    low, high = found.limits()
    if not is_reached:
        low, high = max(low, series.now), max(high, series.now)
    limits = Limits(low, high, series.begun, series.now, is_reached)
    best = likeliest(series)
    loss = f"{100 * target_loss:.4g} % loss since the baseline"
    loss += f" ({series.begun:g} h)" if series.begun > 0 else ""
    on = condition_of(points)
    edge = ""
    if best is not None and best.on_its_bound:
        edge = f" The curve's exponent lies at the edge of what is plausible ({best.b:.2g}): look again after the next."
    if limits.kind == "bound":
        least = limits.bound_h
        said = f"not before {limits.first(least)} h of use, {on}; no more can be said from {limits.span_h:g} h"
        return Forecast(target_loss, "bound", least, math.inf, found.laws, f"{loss} {said}.{edge}")
    alone = profile(series, lambda law: condition(law, target_loss, series.stretches, counts), LAWS[:1]).limits()
    plain = Forecast(target_loss, limits.kind, low, high, found.laws, f"{loss} {limits.between()}, {on}.{edge}")
    if best is None:
        return plain
    step = best.offsets[-1] - best.offsets[0] if counts else 0.0
    return replace(
        plain,
        likely_h=best.hours_of(target_loss, step),
        b=best.b,
        b_u=best.b_u,
        alone_low_h=alone[0],
        alone_high_h=alone[1],
    )


def series_of(points: Sequence[ValueAtHours], drift_u: float = 0.0) -> Series:
    """Make checkpoints ready to be fitted."""
    hours, y, u, hours_u = (np.array([getattr(p, n) for p in points]) for n in ("hours", "log_kept", "u", "hours_u"))
    V = covariance_of(hours, y, u, hours_u, model_u=MODEL_U, drift_u=drift_u)
    return Series(hours, y, V, stretches_of(points))


def condition(law: Law, target_loss: float, stretches: int, counts: bool) -> Condition:
    """Say what holds when a loss since the baseline is reached: what is left now and comes yet, over the baseline."""
    last, base, q = np.zeros(stretches + 1), np.zeros(stretches + 1), np.zeros(stretches + 1)
    last[stretches - 1], base[0 if counts else stretches - 1], q[-1] = 1, 1, 1
    if law.in_logs:
        return Condition(-math.log(1 - target_loss), last - base, q)
    return Condition(0.0, last - (1 - target_loss) * base, q)


def _refused(target_loss: float, why: str) -> Forecast:
    return Forecast(target_loss, "refused", math.nan, math.nan, (), f"No forecast: {why}.")


def refusal(points: Sequence[ValueAtHours]) -> str:
    """Return why nothing is forecast, or empty text."""
    if why := no_series(points):
        return why
    within = [(a, b) for a, b in pairwise(points) if a.segment == b.segment]
    if any(b.log_kept - a.log_kept > 2 * math.hypot(a.u, b.u) for a, b in within):
        return "luminance rose between two checkpoints"
    loss = _lost(points)
    u = math.sqrt(sum(a.u**2 + b.u**2 for a, b in _ends(points)))
    if loss < LEAST_SIGNAL * u:
        return f"too early: the loss of {100 * loss:.1f} % is less than ten times its standard uncertainty"
    return ""


def _ends(points: Sequence[ValueAtHours]) -> list[tuple[ValueAtHours, ValueAtHours]]:
    """Return the first and the last checkpoint of every stretch between cuts that has two."""
    stretch = stretches_of(points)
    held = [[p for p, s in zip(points, stretch, strict=True) if s == one] for one in range(int(stretch[-1]) + 1)]
    return [(one[0], one[-1]) for one in held if len(one) > 1]


def _lost(points: Sequence[ValueAtHours]) -> float:
    """Return the loss of ln L within the stretches, without what happened at cuts."""
    return sum(a.log_kept - b.log_kept for a, b in _ends(points))
