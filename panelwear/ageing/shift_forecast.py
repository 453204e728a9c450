"""When white will have shifted by a stated Δu'v' since the baseline.

The shift is read as a signed distance along the one direction in which white went, fitted over all checkpoints, and
that distance grows by the laws of ``laws.py``. The size of a vector of noise is never 0, so sizes of shifts would
start with a bias as large as the noise. A signed distance has none but for the direction being chosen from the same
readings: half as much where white does not shift at all, and nothing worth knowing of once the shift is ten times its
uncertainty, below which only a lower limit is said. The other way, from the luminance each channel will keep (their
luminances added up give the white of tomorrow), needs primaries at every checkpoint and a panel whose white is the
sum of them; panels with a fourth sub-pixel or a limiter are none.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.ageing.growth import Growth, growth_limits, growth_refusal
from panelwear.ageing.laws import LIKELY_B, Real, stretched_share
from panelwear.ageing.said import LARGEST_MISFIT, condition_of, stretches_of
from panelwear.telling.words import as_typed


@dataclass(frozen=True, slots=True)
class WhiteAtHours:
    """White at one checkpoint."""

    hours: float
    u_prime: float
    v_prime: float
    u_u: float
    """Standard uncertainty of u', without what one calibration brings to all checkpoints alike."""
    v_u: float
    segment: int = 0
    """Rises where a compensation cycle or another setting cuts the series."""
    setting: int = 0
    """Rises where another setting does."""
    hours_u: float = 0.0


@dataclass(frozen=True, slots=True)
class ShiftForecast:
    """What may be said about white shifting."""

    shift: float
    """Δu'v' that is asked for."""
    said: str
    """``reached`` already, ``refused``, ``bound``, ``indicative`` or ``interval``."""
    low_h: float
    high_h: float
    sentence: str


def shift_forecast(points: Sequence[WhiteAtHours], shift: float, against: str = "") -> ShiftForecast:
    """Say when white will have shifted by Δu'v' since the baseline, or why that cannot be said."""
    asked = f"a shift of white by {as_typed(shift)} (Δu'v')"
    along = distances(points) if len(points) > 1 else ()
    why = against or growth_refusal(along, "the shifts of white")
    if why:
        return ShiftForecast(shift, "refused", math.nan, math.nan, f"No forecast for {asked}: {why}.")
    now = f"{along[-1].value:.4f} ± {2 * math.hypot(along[0].u, along[-1].u):.4f} now, along the way white went"
    if along[-1].value >= shift:
        said = f"White has shifted by {as_typed(shift)} (Δu'v') already ({now})."
        return ShiftForecast(shift, "reached", math.nan, math.nan, said)
    found = growth_limits(along, shift, shift, since="baseline" if _counts(points) else "wear")
    if found.misfit > LARGEST_MISFIT:
        why = f"white does not go one way (reduced χ² {found.misfit:.1f})"
        return ShiftForecast(shift, "refused", math.nan, math.nan, f"No forecast for {asked}: {why} ({now}).")
    limits, on = found.limits, condition_of(points)
    if limits.kind == "bound":
        least = limits.bound_h
        first = "at any time from now on" if limits.may_be_now else f"not before {limits.first(least)} h of use"
        said = f"{asked} {first} (95 %), {on}; no more can be said from {limits.seen} ({now})."
        return ShiftForecast(shift, "bound", least, math.inf, said[0].upper() + said[1:])
    said = f"{asked} {limits.between()}, {on} ({now})."
    return ShiftForecast(shift, limits.kind, limits.low_h, limits.high_h, said[0].upper() + said[1:])


def distances(points: Sequence[WhiteAtHours]) -> tuple[Growth, ...]:
    """Return how far white went from the baseline along its one direction.

    What happened at cuts is taken out where a setting is among them: what a cycle did to white counts, as white is what
    it is; what a setting did does not.
    """
    hours, stretch = np.array([p.hours for p in points]), stretches_of(points)
    place = np.array([(p.u_prime, p.v_prime) for p in points])
    u = np.array([(p.u_u, p.v_u) for p in points])
    if hours[-1] <= hours[0]:
        return ()
    course = stretched_share(hours, float(hours[0]), float(hours[-1]), LIKELY_B)
    X = np.concatenate([stretch[:, None] == np.arange(stretch[-1] + 1), course[:, None]], axis=1).astype(float)
    with np.errstate(divide="ignore"):
        way = np.array([_slope(X, place[:, i], u[:, i]) for i in (0, 1)])
    size = float(np.hypot(*way))
    e = way / size if size > 0 else np.array([1.0, 0.0])
    gone = (place - place[0]) @ e
    gone -= 0.0 if _counts(points) else _cuts(gone, stretch)
    own = np.hypot(u[:, 0] * e[0], u[:, 1] * e[1])
    return tuple(
        Growth(p.hours, float(s), float(w), p.segment, p.hours_u) for p, s, w in zip(points, gone, own, strict=True)
    )


def _counts(points: Sequence[WhiteAtHours]) -> bool:
    return points[0].setting == points[-1].setting


def _slope(X: Real, y: Real, u: Real) -> float:
    weight = 1 / u if (u > 0).all() else np.ones(len(u))
    return float(np.linalg.lstsq(X * weight[:, None], y * weight, rcond=None)[0][-1])


def _cuts(gone: Real, stretch: NDArray[np.int64]) -> Real:
    """Return what was jumped at cuts, summed up: it is no wear."""
    jumps = np.where(np.diff(stretch) > 0, np.diff(gone), 0.0)
    return np.concatenate([[0.0], np.cumsum(jumps)])
