"""What a patch does while it stands: a limiter or static-content dimming taking hold, and settling after a change."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from panelwear.panel.slope import fit_slope

FEWEST = 5
"""Fewer readings of a standing patch say nothing about its slope."""
DIMMING_PER_MIN = 0.001
"""Slope that counts as dimming: 0.1 % a minute."""
ALARM_LEVEL = 0.998
"""Interval of the slope that must lie below: a checkpoint has some 200 patches, and false alarms cost trust."""


@dataclass(frozen=True, slots=True)
class Standing:
    """How the luminance of a standing patch moves."""

    percent_per_min: float
    half_width_percent: float
    """Half the interval of the slope at the alarm level, % a minute."""
    dimming: bool
    """Flag the rows ``limiter``."""
    sentence: str = ""


def standing_slope(times_s: ArrayLike, luminances_cd_m2: ArrayLike, u_rel: float = 0.0, dof: float = 0.0) -> Standing:
    """Judge the readings of one patch that stood still on the screen.

    Args:
        times_s: Time of each reading.
        luminances_cd_m2: One each; failed ones ``nan``.
        u_rel: Relative scatter of one reading, where known from the noise model.
        dof: Degrees of freedom of that.
    """
    Y = np.asarray(luminances_cd_m2, dtype=np.float64)
    mean = float(np.nanmean(Y)) if np.isfinite(Y).any() else math.nan
    if not mean > 0:
        return Standing(math.nan, math.inf, False)
    slope = fit_slope(times_s, Y / mean, u_rel, dof)
    if not math.isfinite(slope.per_s):
        return Standing(math.nan, math.inf, False)
    per_min, half = 60 * slope.per_s, 60 * slope.half_width(ALARM_LEVEL)
    dimming = per_min < -DIMMING_PER_MIN and per_min + half < 0
    sentence = (
        f"The patch dimmed by {-100 * per_min:.2f} % a minute while it stood: a limiter, or dimming of static content."
        if dimming
        else ""
    )
    return Standing(100 * per_min, 100 * half, dimming, sentence)


@dataclass(frozen=True, slots=True)
class SettleTime:
    """How long a patch needs after a change until a reading may begin."""

    settle_s: float
    """``inf``: not settled within the series."""
    final_cd_m2: float
    tolerance_rel: float
    """How near the final luminance counts as settled, the scatter of the series included."""
    sentence: str


def settle_time(
    times_s: ArrayLike, luminances_cd_m2: ArrayLike, *, tolerance_rel: float = 0.001, least_s: float = 0.3
) -> SettleTime:
    """Find the settling time from a short series of readings after one big change.

    The last third is taken as settled if it is flat; the time is when the rest comes within the tolerance of its mean,
    or within what the scatter lets one see, and stays there. Rounded up to 0.1 s.

    Args:
        times_s: Time of each reading since the last frame of the change, rising, at least nine.
        luminances_cd_m2: One each; failed ones ``nan``.
        tolerance_rel: Wanted closeness.
        least_s: Never less than this.

    Raises:
        ValueError: Fewer than nine usable readings, or no light.
    """
    t, Y = np.asarray(times_s, dtype=np.float64), np.asarray(luminances_cd_m2, dtype=np.float64)
    keep = np.isfinite(t) & np.isfinite(Y)
    t, Y = t[keep], Y[keep]
    if len(t) < 9 or Y.max() <= 0:
        raise ValueError("A settling time needs at least nine readings of a lit patch.")
    tail = slice(2 * len(t) // 3, None)
    final = float(Y[tail].mean())
    scatter = float(Y[tail].std(ddof=1)) / final
    slope = fit_slope(t[tail], Y[tail] / final)
    room = max(tolerance_rel, 3 * scatter)
    span = float(np.ptp(t[tail]))
    if abs(slope.per_s) * span > tolerance_rel and abs(slope.per_s) > slope.half_width():
        sentence = (
            f"The patch still moves after {t[-1]:.1f} s ({100 * slope.per_s * span:+.2f} % over the last {span:.1f} s)."
        )
        return SettleTime(math.inf, final, room, sentence)
    outside = np.flatnonzero(np.abs(Y / final - 1) > room)
    first = float(t[outside[-1] + 1]) if len(outside) else float(t[0])
    settle = max(math.ceil(round(first * 10, 6)) / 10, least_s)
    sentence = f"Settles within {settle:.1f} s to {100 * room:.2f} % of {final:.4g} cd/m²."
    return SettleTime(settle, final, room, sentence)
