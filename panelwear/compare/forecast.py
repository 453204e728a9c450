"""When a loss will be reached: refused, or a lower bound. Few checkpoints of one panel bear no more.

Model: ln L = A - D (h / H)^b, a stretched exponential (Fery et al. 2005) written at the last checkpoint H, with A free
(the baseline is measured too) and b ~ N(0.75, 0.15) within 0.4 .. 1.1. The loss x counts from the baseline at h0, which
need not be at 0 h: D ((T / H)^b - (h0 / H)^b) = -ln(1 - x). The bound is where the profile likelihood has fallen by
3.84 / 2 (95 %, one parameter); the delta method would fail, the distribution is skewed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]

B_MEAN, B_SD, B_LOW, B_HIGH = 0.75, 0.15, 0.4, 1.1
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
    b_at_bound: bool
    sentence: str


def forecast(points: Sequence[ValueAtHours], target_loss: float = 0.20) -> Forecast:
    """Say when a loss since the baseline will be reached, or why that cannot be said.

    Args:
        points: oldest first, the baseline at any hours of use.
        target_loss: share of the baseline's luminance, such as 0.2.
    """
    why = refusal(points)
    if why:
        return Forecast(target_loss, "refused", math.nan, math.nan, False, f"No forecast: {why}.")
    low, high, chi2, b = _profile(points, target_loss)
    spare = max(len(points) - 3, 1)
    if chi2 / spare > LARGEST_MISFIT:
        said = f"No forecast: the checkpoints do not lie on a decay curve (reduced χ² {chi2 / spare:.1f})."
        return Forecast(target_loss, "refused", math.nan, math.nan, False, said)
    begun, now = points[0].hours, points[-1].hours
    reached = 1 - math.exp(points[-1].log_kept - points[0].log_kept) >= target_loss
    if not reached:
        low, high = max(low, now), max(high, now)
    return _told(target_loss, (low, high), (begun, now), min(b - B_LOW, B_HIGH - b) < 0.02, reached)


def _told(
    target_loss: float, limits: tuple[float, float], seen: tuple[float, float], at_bound: bool, reached: bool
) -> Forecast:
    """Choose what may be said. ``limits`` and ``seen`` (baseline, now) are in hours of use."""
    (low, high), (begun, now) = limits, seen
    span, soon, late = now - begun, limits[0] - begun, limits[1] - begun
    loss = f"{100 * target_loss:g} % loss since the baseline"
    if begun > 0:
        loss += f" ({begun:g} h)"
    if not reached and (soon > FARTHEST * span or late > WIDEST * soon):
        least = begun + min(soon, FARTHEST * span)
        first = max(_rounded(least, begun, math.floor), now)
        sentence = f"{loss} not before {first:.0f} h of use; no more can be said from {span:g} h."
        return Forecast(target_loss, "bound", least, math.inf, at_bound, sentence)
    kind = "indicative" if late > INDICATIVE * span else "interval"
    first = _rounded(low, begun, math.floor)
    first = first if reached else max(first, now)
    word = ", indicative only" if kind == "indicative" else ""
    sentence = f"{loss} between {first:.0f} and {_rounded(high, begun, math.ceil):.0f} h of use (95 %{word})."
    if at_bound:
        sentence += " The curve's shape lies at the edge of what is plausible."
    return Forecast(target_loss, kind, low, high, at_bound, sentence)


def refusal(points: Sequence[ValueAtHours]) -> str:
    """Return why nothing is forecast, or empty text."""
    if len({p.segment for p in points}) > 1:
        return "a compensation cycle or another setting lies between the checkpoints"
    if len(points) < LEAST_CHECKPOINTS:
        return f"{LEAST_CHECKPOINTS} checkpoints are needed, the baseline among them; there are {len(points)}"
    if points[-1].hours <= points[0].hours:
        return "no hours of use lie between the baseline and the newest checkpoint"
    loss = points[0].log_kept - points[-1].log_kept
    u = math.hypot(points[0].u, points[-1].u)
    rises = any(b.log_kept - a.log_kept > 2 * math.hypot(a.u, b.u) for a, b in pairwise(points))
    if rises:
        return "luminance rose between two checkpoints"
    if loss < LEAST_SIGNAL * u:
        return f"too early: the loss of {100 * loss:.1f} % is less than ten times its standard uncertainty"
    return ""


def _profile(points: Sequence[ValueAtHours], target_loss: float) -> tuple[float, float, float, float]:
    """Return lower and upper limit in hours, χ² at the best point, and its b."""
    h = np.array([p.hours for p in points])
    y = np.array([p.log_kept for p in points])
    weight = 1 / (np.array([p.u for p in points]) ** 2 + MODEL_U**2)
    last = h[-1]
    b = np.linspace(B_LOW, B_HIGH, 141)
    loss = max(y[0] - y[-1], 1e-6)
    b = b[:, None]
    begun = (h[0] / last) ** b
    # What was seen is D (1 - (h0 / H)^b): the later the baseline, the larger a D it takes.
    D = np.geomspace(loss / 20, loss * 5, 1200)[None, :] / (1 - begun)
    shape = (h[None, :] / last) ** b
    model = -D[:, :, None] * shape[:, None, :]
    A = ((y - model) * weight).sum(axis=2) / weight.sum()
    chi2 = (((y - model - A[:, :, None]) ** 2) * weight).sum(axis=2)
    score = chi2 + ((b - B_MEAN) / B_SD) ** 2
    reach = last * (-math.log(1 - target_loss) / D + begun) ** (1 / b)
    inside = score - score.min() <= CHI2_95
    best = np.unravel_index(int(score.argmin()), score.shape)
    return float(reach[inside].min()), float(reach[inside].max()), float(chi2[best]), float(b[best[0], 0])


def _rounded(hours: float, begun: float, towards: Callable[[float], int]) -> float:
    """Round hours of use to two digits of the time since the baseline, which is what the limit is known of."""
    since = hours - begun
    step = 10.0 ** (math.floor(math.log10(since)) - 1) if since > 0 else 1.0
    # A limit that is a round number already must not slip by a whole step.
    slack = 1e-9 if towards is math.floor else -1e-9
    return towards(hours / step + slack) * step
