"""Is the panel steady? The warm-up verdict, and the trace a person sees meanwhile."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from panelwear.panel.slope import Slope, fit_slope

TEN_MINUTES_S = 600.0
WINDOWS_S = (600.0, 900.0, 1200.0, 1500.0, 1800.0)
"""The last ten minutes, or more of them when the probe scatters too much for ten to tell: for a drift that dies away
the longer window is the stricter one."""
LUMINANCE_LIMIT = 0.001
CHROMATICITY_LIMIT = 0.0002
"""Slope allowed per ten minutes: 0.1 % of the luminance, 0.0002 in x and y."""


@dataclass(frozen=True, slots=True)
class WarmUpRule:
    """How a warm-up is watched."""

    every_s: float = 120.0
    readings: int = 5
    least_s: float = 1200.0
    most_s: float = 3600.0


@dataclass(frozen=True, slots=True)
class Sample:
    """The mean of the readings of one look at the panel."""

    at_s: float
    """Seconds since the warm-up began."""
    Y_cd_m2: float
    x: float = math.nan
    y: float = math.nan
    u_Y_rel: float = math.nan
    """Relative standard deviation of the mean, from its own readings."""
    u_x: float = math.nan
    u_y: float = math.nan
    n: int = 1


def sample_of(at_s: float, XYZ_cd_m2: ArrayLike) -> Sample | None:
    """Average the readings of one look, ``(n, 3)`` in cd/m²; ``None`` when none is usable.

    X and Z may be ``nan`` (a meter of luminance only). Tristimulus values are averaged; x and y come from their mean.
    """
    XYZ = np.atleast_2d(np.asarray(XYZ_cd_m2, dtype=np.float64))
    XYZ = XYZ[np.isfinite(XYZ[:, 1]) & (XYZ[:, 1] > 0)]
    n = len(XYZ)
    if n == 0:
        return None
    mean = XYZ.mean(axis=0)
    total = XYZ.sum(axis=1)
    root = math.sqrt(n)

    def scatter(values: np.ndarray) -> float:
        return float(values.std(ddof=1)) / root if n > 1 else math.nan

    return Sample(
        at_s,
        float(mean[1]),
        float(mean[0] / mean.sum()),
        float(mean[1] / mean.sum()),
        scatter(XYZ[:, 1]) / float(mean[1]),
        scatter(XYZ[:, 0] / total),
        scatter(XYZ[:, 1] / total),
        n,
    )


@dataclass(frozen=True, slots=True)
class SteadyVerdict:
    """Whether the panel is steady, and by how much it still moves."""

    settled: bool
    over: bool
    """Whether the warm-up ends now: settled, or the longest time is up (then rows are flagged ``not-settled``)."""
    slope_percent: float
    """Slope of the luminance in % per ten minutes; ``nan`` while it cannot be told."""
    half_width_percent: float
    """Half its 95 % interval."""
    slope_x: float
    slope_y: float
    """Slopes of x and y per ten minutes."""
    window_s: float
    """Over which the slope was fitted."""
    sentence: str


def _slope_of(samples: Sequence[Sample], name: str, u_name: str, scale: float) -> Slope:
    values = np.array([getattr(s, name) for s in samples]) / scale
    own = np.array([getattr(s, u_name) for s in samples])
    counts = np.array([s.n - 1 for s in samples], dtype=np.float64)
    known = np.isfinite(own) & (counts > 0)
    if not known.any():
        return fit_slope([s.at_s for s in samples], values)
    pooled = math.sqrt(float(np.average(own[known] ** 2, weights=counts[known])))
    return fit_slope([s.at_s for s in samples], values, pooled, float(counts[known].sum()))


def _slopes(samples: Sequence[Sample], window_s: float) -> tuple[Slope, Slope, Slope] | None:
    last = samples[-1].at_s
    recent = [s for s in samples if s.at_s >= last - window_s - 1]
    if last - samples[0].at_s < window_s - 1 or len(recent) < 4:
        return None
    luminance = _slope_of(recent, "Y_cd_m2", "u_Y_rel", float(np.mean([s.Y_cd_m2 for s in recent])))
    return luminance, _slope_of(recent, "x", "u_x", 1.0), _slope_of(recent, "y", "u_y", 1.0)


LIMITS_PER_S = tuple(v / TEN_MINUTES_S for v in (LUMINANCE_LIMIT, CHROMATICITY_LIMIT, CHROMATICITY_LIMIT))


def _sharp(slopes: tuple[Slope, Slope, Slope]) -> bool:
    """Tell whether the intervals are narrow enough to be able to lie within the limits."""
    return all(
        s.half_width() <= 0.8 * limit for s, limit in zip(slopes, LIMITS_PER_S, strict=True) if math.isfinite(s.per_s)
    )


def _steady(slopes: tuple[Slope, Slope, Slope]) -> bool:
    luminance, *colour = slopes
    seen = [(luminance, LIMITS_PER_S[0])]
    seen += [(s, LIMITS_PER_S[1]) for s in colour if math.isfinite(s.per_s)]
    return all(s.within(limit) for s, limit in seen)


def verdict(samples: Sequence[Sample], rule: WarmUpRule = WarmUpRule()) -> SteadyVerdict:
    """Judge a warm-up from its samples so far, oldest first.

    Settled: the 95 % interval of the fitted slope lies within ±0.1 % per ten minutes for the luminance and ±0.0002 for
    x and y, after at least ``rule.least_s``. "Not seen to move" is not enough: a probe that scatters must look longer.
    """
    if not samples:
        return _unknown(False, "Warming up: no reading yet.")
    elapsed = samples[-1].at_s
    late = elapsed >= rule.most_s - 1
    fitted = [(window, slopes) for window in WINDOWS_S if (slopes := _slopes(samples, window)) is not None]
    if not fitted:
        return _unknown(late, _not_yet(elapsed, late, "too few readings to tell a slope"))
    # The window is chosen by how sharply it sees, not by what it shows: many looks would find a flat one by chance.
    window, slopes = next((f for f in fitted if _sharp(f[1])), fitted[-1])
    luminance, x, y = slopes
    steady = _steady(slopes)
    settled = steady and elapsed >= rule.least_s - 1
    slope, half = (100 * TEN_MINUTES_S * v for v in (luminance.per_s, luminance.half_width()))
    told = f"{slope:+.2f} % ± {half:.2f} % per 10 min over the last {window / 60:.0f} min"
    if settled:
        sentence = f"Settled after {elapsed / 60:.0f} min: {told}."
    elif steady:
        sentence = f"Steady so far ({told}); it is watched for at least {rule.least_s / 60:.0f} min."
    else:
        sentence = _not_yet(elapsed, late, told)
    slope_x, slope_y = TEN_MINUTES_S * x.per_s, TEN_MINUTES_S * y.per_s
    return SteadyVerdict(settled, settled or late, slope, half, slope_x, slope_y, window, sentence)


MOST_READINGS = 40
SHARP_ENOUGH = 0.5
"""Half-width of the slope over ten minutes that the number of readings aims at, of the limit: a panel that does not
move then passes 19 times in 20, and by the last ten minutes alone."""


def readings_wanted(samples: Sequence[Sample], rule: WarmUpRule = WarmUpRule()) -> int:
    """Return how many readings the next look takes, so that ten minutes of looks tell a steady panel from a moving one.

    By the scatter of the looks so far; the first takes ``rule.readings``, none more than ``MOST_READINGS``.
    """
    looks = round(WINDOWS_S[0] / rule.every_s) + 1
    times = rule.every_s * (np.arange(looks) - (looks - 1) / 2)
    spread_s = math.sqrt(float(times @ times))
    wanted = float(rule.readings)
    for u_name, limit in zip(("u_Y_rel", "u_x", "u_y"), LIMITS_PER_S, strict=True):
        own = [
            (getattr(s, u_name) ** 2 * s.n, s.n - 1) for s in samples if s.n > 1 and math.isfinite(getattr(s, u_name))
        ]
        if own:
            of_one = math.sqrt(sum(u2 * dof for u2, dof in own) / sum(dof for _, dof in own))
            wanted = max(wanted, (2 * of_one / (SHARP_ENOUGH * limit * spread_s)) ** 2)
    return min(MOST_READINGS, math.ceil(wanted))


@dataclass(frozen=True, slots=True)
class Waiting:
    """What a warm-up still waits for."""

    for_what: str
    """``light``, ``colour``, both, ``the least time``, or ``the first readings``."""
    light: str = ""
    """Now, and the limit: "+0.14 % ± 0.05 % per 10 min, limit 0.10 %"."""
    colour: str = ""


def waits_for(samples: Sequence[Sample]) -> Waiting:
    """Say what keeps the panel from being called steady, light or colour, each as it is now beside its limit."""
    fitted = [slopes for window in WINDOWS_S if (slopes := _slopes(samples, window)) is not None] if samples else []
    if not fitted:
        return Waiting("the first ten minutes of readings")
    luminance, *colour = next((slopes for slopes in fitted if _sharp(slopes)), fitted[-1])
    moving = [] if luminance.within(LIMITS_PER_S[0]) else ["light"]
    seen = [slope for slope in colour if math.isfinite(slope.per_s)]
    if any(not slope.within(LIMITS_PER_S[1]) for slope in seen):
        moving.append("colour")
    slope, half = (100 * TEN_MINUTES_S * v for v in (luminance.per_s, luminance.half_width()))
    light = f"{slope:+.2f} % ± {half:.2f} % per 10 min, limit {100 * LUMINANCE_LIMIT:.2f} %"
    worst = max(seen, key=lambda slope: abs(slope.per_s) + slope.half_width(), default=None)
    told = ""
    if worst is not None:
        by, within = (TEN_MINUTES_S * v for v in (worst.per_s, worst.half_width()))
        told = f"{by:+.5f} ± {within:.5f} in x or y per 10 min, limit {CHROMATICITY_LIMIT:.5f}"
    return Waiting(" and ".join(moving) or "the least time", light, told)


def _unknown(over: bool, sentence: str) -> SteadyVerdict:
    return SteadyVerdict(False, over, math.nan, math.inf, math.nan, math.nan, 0.0, sentence)


def _not_yet(elapsed_s: float, late: bool, told: str) -> str:
    if late:
        return f"Not settled after {elapsed_s / 60:.0f} min ({told}); readings go on and are flagged not-settled."
    return f"Warming up, {elapsed_s / 60:.0f} min: {told}."


def trace(samples: Sequence[Sample], width: int = 41) -> tuple[str, ...]:
    """Draw the warm-up as lines of text: minutes, luminance, x, y, and a dot for the deviation from the last mean."""
    if not samples:
        return ()
    last = samples[-1].Y_cd_m2
    off = [100 * (s.Y_cd_m2 / last - 1) for s in samples]
    scale = next((step for step in (0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0) if max(map(abs, off)) <= step), 50.0)
    lines = [f"  min      cd/m²       x       y  {f'-{scale:g} %':<{width // 2}}0{f'+{scale:g} %':>{width // 2}}"]
    for s, deviation in zip(samples, off, strict=True):
        column = round((max(-scale, min(scale, deviation)) / scale + 1) / 2 * (width - 1))
        row = [" "] * width
        row[width // 2] = "."
        row[column] = "o"
        colour = f"{s.x:7.4f} {s.y:7.4f}" if math.isfinite(s.x) else f"{'':7} {'':7}"
        lines.append(f"{s.at_s / 60:5.0f} {s.Y_cd_m2:10.3f} {colour}  {''.join(row).rstrip()}")
    return tuple(lines)
