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
from panelwear.ageing.likeliest import Likeliest, likeliest
from panelwear.ageing.profile import Condition, Profile, Series, covariance_of, profile
from panelwear.ageing.said import (
    LARGEST_MISFIT,
    LEAST_SIGNAL,
    Limits,
    at_ends,
    condition_of,
    ends_of,
    hours_words,
    no_series,
    stretches_of,
    widest,
)  # fmt: skip
from panelwear.telling.words import as_typed
from panelwear.uncertainty.formatting import rounded

COVERED = 1.96
"""Of a standard uncertainty to half of a 95 % interval."""
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
    """``reached`` already, ``refused``, ``bound``, ``indicative`` or ``interval``."""
    low_h: float
    """"Not before": lower 95 % limit in hours of use; ``nan`` when refused or there already."""
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


@dataclass(frozen=True, slots=True)
class Lost:
    """What was lost by the newest checkpoint, as shares."""

    share: float
    """Of the baseline's luminance, with what compensation cycles gave or took, without what other settings did."""
    expanded: float
    """Half width of its 95 % interval."""
    worn: float
    """Between cuts alone: wear."""
    worn_u: float
    """Its standard uncertainty."""
    is_cut: bool
    """Whether anything cuts the series."""
    counts: bool
    """Whether what happened at cuts is in the share."""

    @property
    def words(self) -> str:
        """Return "2.8 ± 1.4 % lost now"."""
        without = "" if self.counts else ", what other settings did left out"
        return f"{_percent(self.share, self.expanded)} lost now{without}"


def lost_by_now(points: Sequence[ValueAtHours], told: tuple[float, float] | None = None) -> Lost:
    """Return what was lost.

    Args:
        points: two or more.
        told: share and half width that a comparison tells already, so that one figure is said everywhere.
    """
    counts = points[0].setting == points[-1].setting
    worn, ends = _lost(points), [u for a, b in _ends(points) for u in (a.u, b.u)]
    worn_u = math.hypot(*ends)
    kept, kept_worn = math.exp(points[-1].log_kept - points[0].log_kept), math.exp(-worn)
    of_all = 1 - kept, COVERED * kept * math.hypot(points[0].u, points[-1].u)
    share, expanded = (told or of_all) if counts else (1 - kept_worn, COVERED * kept_worn * worn_u)
    return Lost(share, expanded, 1 - kept_worn, kept_worn * worn_u, bool(stretches_of(points)[-1]), counts)


def forecast(
    points: Sequence[ValueAtHours],
    target_loss: float = 0.20,
    against: str = "",
    drift_u: float = 0.0,
    told: tuple[float, float] | None = None,
) -> Forecast:
    """Say when a loss since the baseline will be reached, or why that cannot be said.

    Args:
        points: oldest first, the baseline at any hours of use.
        target_loss: share of the baseline's luminance, such as 0.2.
        against: what speaks against any forecast from these checkpoints, known beforehand.
        drift_u: what the probe may have drifted by from first to last, as a share; common to all checkpoints.
        told: share that was lost by now, and half width of its interval, as a comparison tells them.
    """
    lost = lost_by_now(points, told) if len(points) > 1 else None
    loss = f"{as_typed(round(100 * target_loss, 9))} % loss since the baseline"
    if lost is not None and lost.share >= target_loss:
        least = lost.share - math.hypot(lost.expanded, COVERED * drift_u)
        surely = "already" if least >= target_loss else "already, or nearly"
        return _silent(target_loss, "reached", f"{loss} is reached {surely} ({lost.words}).")
    why = against or refusal(points)
    if why or lost is None:
        stands = f" ({lost.words})" if lost is not None else ""
        return _silent(target_loss, "refused", f"No forecast: {why}{stands}.")
    each = [_found(one, target_loss, drift_u) for one in (points, *at_ends(points))]
    series, best_fit = series_of(points, drift_u), each[0][0]
    misfit = best_fit.chi2 / series.spare
    if misfit > LARGEST_MISFIT:
        why = f"the checkpoints do not lie on a decay curve (reduced χ² {misfit:.1f}; {lost.words})"
        return _silent(target_loss, "refused", f"No forecast: {why}.")
    limits = widest([one for _, one in each], points[0], points[-1])
    loss += f" ({hours_words(*ends_of(points[0]))})" if series.begun > 0 else ""
    best, on = likeliest(series), condition_of(points)
    edge = ""
    if best is not None and best.on_its_bound:
        edge = f" The curve's exponent lies at the edge of what is plausible ({best.b:.2g}): look again after the next."
    if limits.kind == "bound":
        least = limits.bound_h
        first = "at any time from now on" if limits.may_be_now else f"not before {limits.first(least)} h of use"
        said = f"{loss} {first} (95 %), {on}; no more can be said from {limits.seen} ({lost.words}).{edge}"
        return Forecast(target_loss, "bound", least, math.inf, best_fit.laws, said)
    said = f"{loss} {limits.between()}, {on} ({lost.words}).{edge}"
    plain = Forecast(target_loss, limits.kind, limits.low_h, limits.high_h, best_fit.laws, said)
    return _with_best(plain, series, best, counts=lost.counts)


def _found(points: Sequence[ValueAtHours], target_loss: float, drift_u: float) -> tuple[Profile, Limits]:
    """Return the likelihood of each time, and the limits, for hours as they stand."""
    series = series_of(points, drift_u)
    counts = points[0].setting == points[-1].setting
    found = profile(series, lambda law: condition(law, target_loss, series.stretches, counts))
    low, high = found.limits()
    return found, Limits(max(low, series.now), max(high, series.now), series.begun, series.now)


def _with_best(plain: Forecast, series: Series, best: Likeliest | None, *, counts: bool) -> Forecast:
    """Add what the stretched exponential alone says."""
    target = plain.target_loss
    alone = profile(series, lambda law: condition(law, target, series.stretches, counts), LAWS[:1]).limits()
    if best is None:
        return plain
    step = best.offsets[-1] - best.offsets[0] if counts else 0.0
    return replace(
        plain,
        likely_h=best.hours_of(target, step),
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


def _silent(target_loss: float, said: str, sentence: str) -> Forecast:
    return Forecast(target_loss, said, math.nan, math.nan, (), sentence)


def refusal(points: Sequence[ValueAtHours]) -> str:
    """Return why nothing is forecast, or empty text."""
    if why := no_series(points):
        return why
    within = [(a, b) for a, b in pairwise(points) if a.segment == b.segment]
    if any(b.log_kept - a.log_kept > 2 * math.hypot(a.u, b.u) for a, b in within):
        return "luminance rose between two checkpoints"
    u = math.hypot(*(u for a, b in _ends(points) for u in (a.u, b.u)))
    return _too_early(lost_by_now(points)) if _lost(points) < LEAST_SIGNAL * u else ""


def _too_early(lost: Lost) -> str:
    without = " (what happened at compensation cycles and other settings is left out)" if lost.is_cut else ""
    return (
        f"too early: so far wear took {_percent(lost.worn, COVERED * lost.worn_u)} of the light{without}, and how it "
        f"goes on can be told from {100 * LEAST_SIGNAL * lost.worn_u:.1f} % on, ten standard uncertainties"
    )


def _percent(share: float, expanded: float) -> str:
    share, expanded = 100 * share, 100 * expanded
    return f"{rounded(share, expanded)} ± {rounded(expanded, expanded)} %"


def _ends(points: Sequence[ValueAtHours]) -> list[tuple[ValueAtHours, ValueAtHours]]:
    """Return the first and the last checkpoint of every stretch between cuts that has two."""
    stretch = stretches_of(points)
    held = [[p for p, s in zip(points, stretch, strict=True) if s == one] for one in range(int(stretch[-1]) + 1)]
    return [(one[0], one[-1]) for one in held if len(one) > 1]


def _lost(points: Sequence[ValueAtHours]) -> float:
    """Return the loss of ln L within the stretches, without what happened at cuts."""
    return sum(a.log_kept - b.log_kept for a, b in _ends(points))
