"""From the frames of a field to its map: light of each cell beside the reference, with its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.cells import Cells
from panelwear.camera.photographs.luminance import Weights
from panelwear.camera.photographs.noise import CameraNoise
from panelwear.camera.photographs.photograph import COLOURS
from panelwear.camera.photographs.stack import Stack

Real = NDArray[np.float64]
FEWEST_PIXELS = 4
"""Of a plane in a cell."""
MOST_SATURATED = 0.001
"""Share of a cell's pixels: common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class Signal:
    """Light of each cell behind each plane, black taken off, with its variance."""

    mean: Real
    """``(planes, cells)``."""
    variance: Real
    pixels: Real
    """The part of the variance that differences between camera pixels make: it stays from frame to frame."""

    def colours(self, cells: Cells) -> tuple[Real, Real, Real]:
        """Return mean, variance and its fixed part behind red, green and blue, ``(3, cells)``; alike without colours.

        Two greens count alike, however many pixels of each look at a cell: they are not equally sensitive.
        """
        means, variances, pixels = np.full((3, len(COLOURS), cells.count), np.nan)
        for n, colour in enumerate(COLOURS):
            own = [k for k, plane in enumerate(cells.planes) if plane.colour == colour or len(cells.planes) == 1]
            means[n] = self.mean[own].mean(axis=0)
            variances[n] = self.variance[own].sum(axis=0) / len(own) ** 2
            pixels[n] = self.pixels[own].sum(axis=0) / len(own) ** 2
        return means, variances, pixels


@dataclass(frozen=True, slots=True, eq=False)
class Against:
    """What a field's numbers are held against."""

    noise: CameraNoise
    black: Stack | None
    black_times: float
    """By what the black frames' light is multiplied for this field's exposure."""
    flat: Stack | None
    """The even surface; where it is, it takes the lens and differences between pixels out together."""
    fall_off: Real | None = None
    """``(planes, cells)``: what the lens leaves of the light, found from poses."""


def signal_of(field: Stack, against: Against) -> Signal:
    """Take black off a field and divide by what lens and pixels do, with the variance of what is left.

    Field and even surface are averaged over the same pixels, so that the quotient of their means holds neither the lens
    nor, to first order, differences between pixels; what it gains is the even surface's own noise.
    """
    noise = against.noise
    mean, variance = field.mean, _variance(field, noise, field.mean)
    if against.black is not None:
        black = against.black
        mean = mean - against.black_times * black.mean
        variance = variance + against.black_times**2 * _variance(black, noise, black.mean)
    if against.flat is None:
        pixels = (noise.prnu * mean) ** 2 / np.maximum(field.counts, 1)
        lens = 1.0 if against.fall_off is None else against.fall_off
        return Signal(mean / lens, (variance + pixels) / lens**2, pixels / lens**2)
    flat = against.flat.mean
    flat = flat / np.nanmedian(flat, axis=1, keepdims=True)
    own = _variance(against.flat, noise, against.flat.mean) / np.maximum(against.flat.mean, 1e-9) ** 2
    quotient = mean / flat
    return Signal(quotient, variance / flat**2 + own * quotient**2, np.zeros_like(quotient))


def _variance(stack: Stack, noise: CameraNoise, mean: Real) -> Real:
    """Return the variance of a cell's mean over its pixels and frames."""
    return noise.variance(mean) / np.maximum(stack.counts, 1) / stack.frames


def usable_cells(cells: Cells, stacks: list[Stack], margin: int) -> NDArray[np.bool_]:
    """Tell which cells can be used, ``(rows, columns)``: enough pixels, none saturated, not at the panel's edge."""
    good = np.ones(cells.count, dtype=bool)
    for one in stacks:
        good &= (one.counts >= FEWEST_PIXELS).all(axis=0) & (one.saturated <= MOST_SATURATED).all(axis=0)
        good &= np.isfinite(one.mean).all(axis=0)
    inner = np.zeros(cells.shape, dtype=bool)
    inner[margin : cells.shape[0] - margin, margin : cells.shape[1] - margin] = True
    return good.reshape(cells.shape) & inner


def relative_light(
    signal: Signal, cells: Cells, weights: Weights, usable: NDArray[np.bool_], reference: NDArray[np.bool_]
) -> tuple[NDArray[np.float32], NDArray[np.float32], NDArray[np.float32]]:
    """Return light beside the reference's median, its standard uncertainty, and the part of that from the pixels.

    Each ``(rows, columns)``; NaN elsewhere.
    """
    means, *variances = signal.colours(cells)
    a = np.array(weights.of)
    used = a != 0
    light = (a[used, None] * means[used]).sum(axis=0).reshape(cells.shape)
    each = [(a[used, None] ** 2 * one[used]).sum(axis=0).reshape(cells.shape) for one in variances]
    good = usable & np.isfinite(light) & (light > 0)
    level = float(np.median(light[good & reference])) if (good & reference).any() else float(np.median(light[good]))
    relative = np.where(good, light / level, np.nan).astype(np.float32)
    whole, pixels = (np.where(good, np.sqrt(one) / level, np.nan).astype(np.float32) for one in each)
    return relative, whole, pixels


def colour_means(signal: Signal, cells: Cells, usable: NDArray[np.bool_]) -> Real:
    """Return the median behind red, green and blue over the usable cells, ``(3,)``."""
    means = signal.colours(cells)[0]
    return np.asarray(np.nanmedian(means[:, usable.ravel()], axis=1)) if usable.any() else np.full(3, np.nan)
