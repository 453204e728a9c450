"""When a loss will be reached: refused, or a lower bound. Few checkpoints of one panel bear no more.

Model: ln L = A - D (h / H)^b, a stretched exponential (Fery et al. 2005) written at the last checkpoint H, with A free
(the baseline is measured too) and b ~ N(0.75, 0.15) within 0.4 .. 1.1. The bound is where the profile likelihood has
fallen by 3.84 / 2 (95 %, one parameter); the delta method would fail, the distribution is skewed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
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
"""Multiples of the span seen; lamp practice extrapolates no farther than six times the test (IES TM-21)."""
WIDEST = 4.0
LARGEST_MISFIT = 3.0


@dataclass(frozen=True, slots=True)
class Seen:
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
    """What may be said about reaching a loss."""

    target_loss: float
    said: str
    """``refused``, ``bound``, ``indicative`` or ``interval``."""
    low_h: float
    """"Not before": lower 95 % limit in hours of use; ``nan`` when refused."""
    high_h: float
    """Upper limit; ``inf`` where only the bound may be said."""
    b_at_bound: bool
    sentence: str


def forecast(points: Sequence[Seen], target_loss: float = 0.20) -> Forecast:
    """Say when a loss will be reached, or why that cannot be said.

    Args:
        points: oldest first.
        target_loss: share of luminance, such as 0.2.
    """
    why = refusal(points)
    if why:
        return Forecast(target_loss, "refused", math.nan, math.nan, False, f"No forecast: {why}.")
    span = points[-1].hours - points[0].hours
    low, high, chi2, b = _profile(points, target_loss)
    spare = max(len(points) - 3, 1)
    if chi2 / spare > LARGEST_MISFIT:
        said = f"No forecast: the checkpoints do not lie on a decay curve (reduced χ² {chi2 / spare:.1f})."
        return Forecast(target_loss, "refused", math.nan, math.nan, False, said)
    at_bound = min(b - B_LOW, B_HIGH - b) < 0.02
    far = low > FARTHEST * span or high > WIDEST * low
    kind = "bound" if far else ("indicative" if high > INDICATIVE * span else "interval")
    loss = f"{100 * target_loss:g} % loss"
    if kind == "bound":
        least = min(low, FARTHEST * span) if low > FARTHEST * span else low
        sentence = f"{loss} not before {_hours(least)} h of use; no more can be said from {span:g} h."
        return Forecast(target_loss, kind, least, math.inf, at_bound, sentence)
    word = ", indicative only" if kind == "indicative" else ""
    sentence = f"{loss} between {_hours(low)} and {_hours(high)} h of use (95 %{word})."
    if at_bound:
        sentence += " The curve's shape lies at the edge of what is plausible."
    return Forecast(target_loss, kind, low, high, at_bound, sentence)


def refusal(points: Sequence[Seen]) -> str:
    """Return why nothing is forecast, or empty text."""
    if len({p.segment for p in points}) > 1:
        return "a compensation cycle or another setting lies between the checkpoints"
    if len(points) < LEAST_CHECKPOINTS:
        return f"{LEAST_CHECKPOINTS} checkpoints are needed, the baseline among them; there are {len(points)}"
    loss = points[0].log_kept - points[-1].log_kept
    u = math.hypot(points[0].u, points[-1].u)
    rises = any(b.log_kept - a.log_kept > 2 * math.hypot(a.u, b.u) for a, b in pairwise(points))
    if rises:
        return "luminance rose between two checkpoints"
    if loss < LEAST_SIGNAL * u:
        return f"too early: the loss of {100 * loss:.1f} % is less than ten times its standard uncertainty"
    return ""


def _profile(points: Sequence[Seen], target_loss: float) -> tuple[float, float, float, float]:
    """Return lower and upper limit in hours, χ² at the best point, and its b."""
    h = np.array([p.hours for p in points])
    y = np.array([p.log_kept for p in points])
    weight = 1 / (np.array([p.u for p in points]) ** 2 + MODEL_U**2)
    last = h[-1]
    b = np.linspace(B_LOW, B_HIGH, 141)
    loss = max(y[0] - y[-1], 1e-6)
    D = np.geomspace(loss / 20, loss * 5, 1200)
    shape = (h[None, :] / last) ** b[:, None]  # (b, n)
    model = -D[None, :, None] * shape[:, None, :]
    A = ((y - model) * weight).sum(axis=2) / weight.sum()
    chi2 = (((y - model - A[:, :, None]) ** 2) * weight).sum(axis=2)
    score = chi2 + ((b[:, None] - B_MEAN) / B_SD) ** 2
    reach = last * (-math.log(1 - target_loss) / D[None, :]) ** (1 / b[:, None])
    inside = score - score.min() <= CHI2_95
    best = np.unravel_index(int(score.argmin()), score.shape)
    return float(reach[inside].min()), float(reach[inside].max()), float(chi2[best]), float(b[best[0]])


def _hours(value: float) -> str:
    return f"{float(f'{value:.2g}'):.0f}"
