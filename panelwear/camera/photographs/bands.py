"""Refresh bands: rows of the sensor that saw another part of the panel's refresh, other from frame to frame."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.stack import Stack

Real = NDArray[np.float64]
SMOOTHED_ROWS = 1 / 64
"""Share of the rows over which a profile is smoothed: bands are wider, noise is not."""
FEWEST_ROWS = 64
SLOW_DEGREE, FAR_OUT = 4, 6.0
"""What a panel's own unevenness is taken for, and how far a wave has to stand out of the median of its spectrum."""


def band_amplitude(stack: Stack) -> float | None:
    """Return the amplitude of bands in one frame, relative to the light; ``None`` where there is one frame alone.

    Panel, lens and moire are the same in all frames of a shot, so they fall out of each frame over the frames' mean;
    a band comes at another place in each. What is left is noise of the rows, far below a thousandth.
    """
    if stack.frames < 2:
        return None
    rows = np.stack(stack.rows)
    profiles = rows / rows.mean(axis=0)
    seen = np.isfinite(profiles).all(axis=0)
    if seen.sum() < FEWEST_ROWS:
        return None
    width = max(3, int(seen.sum() * SMOOTHED_ROWS))
    kernel = np.ones(width) / width
    smooth = [np.convolve(one / one.mean() - 1, kernel, mode="valid") for one in profiles[:, seen]]
    # Of a wave, half its amplitude squared; of n frames the mean itself holds 1/n of each.
    power = 2 * float(np.mean(np.square(smooth))) * stack.frames / (stack.frames - 1)
    return math.sqrt(power)


@dataclass(frozen=True, slots=True)
class RowWave:
    """How a field's rows differ from what they should be."""

    amplitude: float
    """Relative to the light."""
    periods: float
    """Over the rows that see the panel."""


def row_wave(rows: Sequence[Real], other: Sequence[Real] | None = None) -> RowWave | None:
    """Look for a band in the frames of one field alone, which may be a single one.

    Beside another field of the same hue, panel and lens fall out of the quotient of the two, and bands do not, as they
    depend on exposure and moment. Without another field the panel's own rows stay in it: a polynomial takes the slow
    part out, and only a wave of two periods or more that stands far out of the spectrum counts.

    Args:
        rows: of each frame, the mean of each of the sensor's rows; NaN where none sees the panel.
        other: the same of the other field.

    Returns:
        What was found; ``None`` where too few rows see the panel.
    """
    profile = _mean_profile(rows)
    if other is not None:
        beside = _mean_profile(other)
        both = min(len(profile), len(beside))
        profile = profile[:both] / beside[:both]
    profile = profile[np.isfinite(profile)]
    if len(profile) < FEWEST_ROWS:
        return None
    width = max(3, int(len(profile) * SMOOTHED_ROWS))
    smooth = np.convolve(profile / profile.mean() - 1, np.ones(width) / width, mode="valid")
    x = np.linspace(-1, 1, len(smooth))
    degree = SLOW_DEGREE if other is None else 1
    flat = smooth - np.polynomial.legendre.legval(x, np.polynomial.legendre.legfit(x, smooth, degree))
    window = np.hanning(len(flat))
    spectrum = 2 * np.abs(np.fft.rfft(flat * window, 4 * len(flat))) / window.sum()
    periods = np.arange(len(spectrum)) / 4
    looked_at = (periods >= (2 if other is None else 0.5)) & (periods <= len(flat) / width)
    top = int(np.argmax(np.where(looked_at, spectrum, 0)))
    if other is not None:
        return RowWave(math.sqrt(2 * float(np.mean(flat**2))), float(periods[top]))
    stands_out = spectrum[top] > FAR_OUT * np.median(spectrum[looked_at])
    return RowWave(float(spectrum[top]) if stands_out else 0.0, float(periods[top]))


def _mean_profile(rows: Sequence[Real]) -> Real:
    return np.asarray(np.stack([one / np.nanmean(one) for one in rows]).mean(axis=0))


def banding(exposure_s: float, refresh_hz: float) -> float:
    """Return the share of the panel's flicker that an exposure can show as bands at most.

    |sin(pi f T) / (pi f T)|: the mean of light modulated at f over T.
    """
    turns = math.pi * refresh_hz * exposure_s
    return abs(math.sin(turns) / turns) if turns else 1.0
