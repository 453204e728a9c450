"""Refresh bands: rows of the sensor that saw another part of the panel's refresh, other from frame to frame."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.stack import Stack

Real = NDArray[np.float64]
SMOOTHED_ROWS = 1 / 64
"""Share of the rows over which a profile is smoothed: bands are wider, noise is not."""


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
    if seen.sum() < 64:
        return None
    width = max(3, int(seen.sum() * SMOOTHED_ROWS))
    kernel = np.ones(width) / width
    smooth = [np.convolve(one / one.mean() - 1, kernel, mode="valid") for one in profiles[:, seen]]
    # Of a wave, half its amplitude squared; of n frames the mean itself holds 1/n of each.
    power = 2 * float(np.mean(np.square(smooth))) * stack.frames / (stack.frames - 1)
    return math.sqrt(power)


def banding(exposure_s: float, refresh_hz: float) -> float:
    """Return the share of the panel's flicker that an exposure can show as bands at most.

    |sin(pi f T) / (pi f T)|: the mean of light modulated at f over T.
    """
    turns = math.pi * refresh_hz * exposure_s
    return abs(math.sin(turns) / turns) if turns else 1.0
