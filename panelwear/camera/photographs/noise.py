"""How noisy the camera is, from its own frames: the linear model of EMVA Standard 1288."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.stack import Stack

Real = NDArray[np.float64]
BINS = 24
FEWEST_IN_A_BIN = 200
UNLIKE = 8.0
"""A cell whose pixels differ by so many times the usual variance lies across an edge, or holds a dead pixel."""


@dataclass(frozen=True, slots=True)
class CameraNoise:
    """Temporal variance of one pixel in one frame: ``dark + gain * mean``, in digital numbers.

    EMVA Standard 1288, linear model: s2_y = K^2 s2_d + 1/12 + K (mu_y - mu_dark).
    """

    gain: float
    """K: digital numbers for each electron."""
    dark: float
    """K^2 s2_d + 1/12: variance without light, in digital numbers squared."""
    prnu: float
    """Relative standard deviation from pixel to pixel; what the panel's own grain adds is in it."""
    from_frames: bool = True
    """False where no shot had two frames: then differences from pixel to pixel stand in, which are larger."""

    @property
    def dark_electrons(self) -> float:
        """Temporal noise without light in electrons, rounding to whole numbers taken off."""
        return float(np.sqrt(max(0.0, self.dark - 1 / 12)) / self.gain) if self.gain > 0 else 0.0

    def variance(self, mean: Real) -> Real:
        """Return the temporal variance of one pixel in one frame."""
        return self.dark + self.gain * np.maximum(mean, 0)


def noise_of(stacks: Sequence[Stack]) -> CameraNoise:
    """Find the noise from shots of one sensitivity: how frames of a shot differ, cell by cell.

    The mean of a cell of n pixels scatters from frame to frame with 1/n of a pixel's variance; light that goes up and
    down as a whole is taken out first, so that a panel's flicker is not taken for the camera's noise.
    """
    several = [one for one in stacks if one.frames > 1]
    levels, variances, weights = _points(several, _between) if several else _points(stacks, lambda s: s.within)
    gain, dark = _line(levels, variances, weights)
    shares = []
    brightest = max((float(np.nanmax(one.mean)) for one in stacks), default=0.0)
    for one in stacks:
        mean = one.mean
        extra = one.within - (dark + gain * np.maximum(mean, 0)) / one.frames
        bright = np.isfinite(extra) & (mean > 20 * np.sqrt(dark)) & (mean > 0.3 * brightest)
        if bright.sum() > FEWEST_IN_A_BIN:
            like = bright & (one.within / np.maximum(mean, 1e-9) ** 2 < UNLIKE * _usual(one, bright))
            shares.append(float(np.mean(extra[like] / mean[like] ** 2)))
    prnu = float(np.sqrt(max(0.0, min(shares)))) if shares and several else 0.0
    return CameraNoise(gain, dark, prnu, bool(several))


def _usual(stack: Stack, bright: NDArray[np.bool_]) -> float:
    """Return the usual relative variance between the pixels of a cell; the panel's own edges are few cells."""
    return float(np.median(stack.within[bright] / stack.mean[bright] ** 2))


def excess(stack: Stack, noise: CameraNoise) -> float:
    """Return how much more frames of a shot differ from each other than the camera's noise makes them; 1: not."""
    if stack.frames < 2 or not noise.from_frames:
        return 1.0
    ratio = _between(stack) / noise.variance(stack.mean)
    good = np.isfinite(ratio) & (stack.saturated == 0) & (stack.counts > 0)
    return float(np.sqrt(np.mean(np.minimum(ratio[good], 40)))) if good.any() else 1.0


def _between(stack: Stack) -> Real:
    """Return the variance of one pixel between frames, ``(planes, cells)``."""
    alike = stack.each / stack.gains[:, None, None].astype(np.float32)
    return np.asarray(alike.var(axis=0, ddof=1, dtype=np.float64) * stack.counts)


def _points(stacks: Sequence[Stack], of: Callable[[Stack], Real]) -> tuple[Real, Real, Real]:
    """Pool cells of about one level: mean level, mean variance, and how many cells it is of."""
    levels, variances, weights = [], [], []
    for one in stacks:
        mean, spread = one.mean.ravel(), of(one).ravel()
        usable = np.isfinite(mean) & np.isfinite(spread) & (one.saturated.ravel() == 0)
        mean, spread = mean[usable], spread[usable]
        for part in np.array_split(np.argsort(mean), min(BINS, max(1, len(mean) // FEWEST_IN_A_BIN))):
            if len(part) >= 20:
                levels.append(mean[part].mean())
                # A cell with a flickering pixel is not what all are like; the tail of chance is kept.
                variances.append(spread[part][spread[part] <= 40 * np.median(spread[part])].mean())
                weights.append(len(part))
    return np.array(levels), np.array(variances), np.array(weights, dtype=float)


def _line(levels: Real, variances: Real, weights: Real) -> tuple[float, float]:
    """Fit variance = dark + gain * level, each point weighted by its own relative scatter, neither below 0."""
    if not len(levels):
        return 0.0, 1 / 12
    w = weights / np.maximum(variances, 1e-6) ** 2
    x, y = np.average(levels, weights=w), np.average(variances, weights=w)
    spread = float((w * (levels - x) ** 2).sum())
    gain = float((w * (levels - x) * (variances - y)).sum()) / spread if spread > 0 else 0.0
    dark = y - gain * x
    if dark < 1 / 12:  # the darkest shots are still bright: then the slope alone is known
        return float((w * levels * variances).sum() / (w * levels**2).sum()), 1 / 12
    return (max(gain, 0.0), float(dark)) if gain > 0 else (0.0, float(y))
