"""When a loss will be reached: refused, or a lower bound. Few checkpoints of one panel bear no more.

Every plausible law of ``laws.py`` is fitted: ln L = A + what the law makes of a loss q between baseline and newest
checkpoint, with A free (the baseline is measured too) and q and the law's shape on a grid. The loss x counts from the
baseline, which need not be at 0 h. The limits are the ends of all courses, of whatever law, whose likelihood has fallen
by at most 3.84 / 2 from the best of all (95 %, one parameter); the delta method would fail, the distribution is skewed.

The condition: wear goes on as one of these laws does. One that speeds up after the newest checkpoint comes sooner.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from panelwear.ageing.laws import LAWS, reached

Real = NDArray[np.float64]

MODEL_U = 0.004
"""What the model itself is worth, as a share of luminance (0.3 to 0.5 %; common practice, no source)."""
CHI2_95 = 3.84
LEAST_CHECKPOINTS = 4
LEAST_SIGNAL = 10.0
INDICATIVE, FARTHEST = 3.0, 6.0
"""Multiples of the span seen, counted from the baseline; lamp practice extrapolates no farther than six times the test
(IES TM-21)."""
WIDEST = 4.0
"""Upper over lower limit, both counted from the baseline, above which the upper one says nothing."""
LARGEST_MISFIT = 3.0
CONDITION = "as long as wear does not speed up"
"""Under which every limit stands: no law of ``laws.py`` does, beyond what was seen of it."""
LOSSES = np.concatenate([np.geomspace(0.05, 0.5, 60), np.linspace(0.5, 1.5, 241)[1:], np.geomspace(1.5, 5, 60)[1:]])
"""Losses tried, in units of the one that was read: close together where it is."""


@dataclass(frozen=True, slots=True)
class ValueAtHours:
    """One checkpoint of a figure that wears."""

    hours: float
    log_kept: float
    """ln of luminance over the baseline's; 0 at the baseline."""
    u: float
    """Standard uncertainty, as a share of luminance."""
    segment: int = 0
    """Rises where a compensation cycle or another setting cuts the series."""


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


def forecast(points: Sequence[ValueAtHours], target_loss: float = 0.20, against: str = "") -> Forecast:
    """Say when a loss since the baseline will be reached, or why that cannot be said.

    Args:
        points: oldest first, the baseline at any hours of use.
        target_loss: share of the baseline's luminance, such as 0.2.
        against: what speaks against any forecast from these checkpoints, known beforehand.
    """
    why = against or refusal(points)
    if why:
        return Forecast(target_loss, "refused", math.nan, math.nan, (), f"No forecast: {why}.")
    low, high, chi2, laws = _profile(points, target_loss)
    spare = max(len(points) - 3, 1)
    if chi2 / spare > LARGEST_MISFIT:
        said = f"No forecast: the checkpoints do not lie on a decay curve (reduced χ² {chi2 / spare:.1f})."
        return Forecast(target_loss, "refused", math.nan, math.nan, (), said)
    begun, now = points[0].hours, points[-1].hours
    is_reached = 1 - math.exp(points[-1].log_kept - points[0].log_kept) >= target_loss
    if not is_reached:
        low, high = max(low, now), max(high, now)
    return _told(target_loss, (low, high), (begun, now), laws, is_reached)


def _told(
    target_loss: float, limits: tuple[float, float], seen: tuple[float, float], laws: tuple[str, ...], is_reached: bool
) -> Forecast:
    """Choose what may be said. ``limits`` and ``seen`` (baseline, now) are in hours of use."""
    (low, high), (begun, now) = limits, seen
    span, soon, late = now - begun, limits[0] - begun, limits[1] - begun
    loss = f"{100 * target_loss:g} % loss since the baseline"
    if begun > 0:
        loss += f" ({begun:g} h)"
    if not is_reached and (soon > FARTHEST * span or late > WIDEST * soon):
        least = begun + min(soon, FARTHEST * span)
        first = max(rounded_hours(least, begun, math.floor), now)
        sentence = f"{loss} not before {first:.0f} h of use, {CONDITION}; no more can be said from {span:g} h."
        return Forecast(target_loss, "bound", least, math.inf, laws, sentence)
    kind = "indicative" if late > INDICATIVE * span else "interval"
    first = rounded_hours(low, begun, math.floor)
    first = first if is_reached else max(first, now)
    word = ", indicative only" if kind == "indicative" else ""
    ends = f"between {first:.0f} and {rounded_hours(high, begun, math.ceil):.0f} h of use"
    sentence = f"{loss} {ends} (95 %{word}), {CONDITION}."
    return Forecast(target_loss, kind, low, high, laws, sentence)


def refusal(points: Sequence[ValueAtHours]) -> str:
    """Return why nothing is forecast, or empty text."""
    if why := no_series(points):
        return why
    loss = points[0].log_kept - points[-1].log_kept
    u = math.hypot(points[0].u, points[-1].u)
    rises = any(b.log_kept - a.log_kept > 2 * math.hypot(a.u, b.u) for a, b in pairwise(points))
    if rises:
        return "luminance rose between two checkpoints"
    if loss < LEAST_SIGNAL * u:
        return f"too early: the loss of {100 * loss:.1f} % is less than ten times its standard uncertainty"
    return ""


class AtHours(Protocol):
    """One checkpoint of any figure."""

    @property
    def hours(self) -> float: ...  # noqa: D102
    @property
    def segment(self) -> int: ...  # noqa: D102


def no_series(points: Sequence[AtHours]) -> str:
    """Return why checkpoints make no series to forecast from, whatever the figure, or empty text."""
    if len({p.segment for p in points}) > 1:
        return "a compensation cycle or another setting lies between the checkpoints"
    if len(points) < LEAST_CHECKPOINTS:
        return f"{LEAST_CHECKPOINTS} checkpoints are needed, the baseline among them; there are {len(points)}"
    if points[-1].hours <= points[0].hours:
        return "no hours of use lie between the baseline and the newest checkpoint"
    return ""


def _profile(points: Sequence[ValueAtHours], target_loss: float) -> tuple[float, float, float, tuple[str, ...]]:
    """Return lower and upper limit in hours, χ² at the best course of all, and the laws that are allowed."""
    h = np.array([p.hours for p in points])
    y = np.array([p.log_kept for p in points])
    weight = 1 / (np.array([p.u for p in points]) ** 2 + MODEL_U**2)
    begun, now = float(h[0]), float(h[-1])
    q = max(y[0] - y[-1], 1e-6) * LOSSES
    found = []
    for law in LAWS:
        share = law.course(h, begun, now)[:, None, :]
        lost = (q if law.in_logs else 1 - np.exp(-q))[None, :, None]
        with np.errstate(invalid="ignore", divide="ignore"):
            model = -lost * share if law.in_logs else np.log1p(-lost * share)
        A = ((y - model) * weight).sum(axis=2) / weight.sum()
        chi2 = (((y - model - A[:, :, None]) ** 2) * weight).sum(axis=2)
        target = -math.log(1 - target_loss) if law.in_logs else target_loss
        wanted = np.broadcast_to(target / lost[:, :, 0], chi2.shape)
        found.append((law.name, chi2, reached(law, wanted, begun, now)))
    least = min(float(chi2.min()) for _, chi2, _ in found)
    inside = [(name, hours[chi2 - least <= CHI2_95]) for name, chi2, hours in found]
    allowed = [(name, hours) for name, hours in inside if hours.size]
    ends = np.concatenate([hours for _, hours in allowed])
    return float(ends.min()), float(ends.max()), least, tuple(name for name, _ in allowed)


def rounded_hours(hours: float, begun: float, towards: Callable[[float], int]) -> float:
    """Round hours of use to two digits of the time since the baseline, which is what the limit is known of."""
    since = hours - begun
    step = 10.0 ** (math.floor(math.log10(since)) - 1) if since > 0 else 1.0
    # A limit that is a round number already must not slip by a whole step.
    slack = 1e-9 if towards is math.floor else -1e-9
    return towards(hours / step + slack) * step
