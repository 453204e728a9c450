"""From electrons to digital numbers: the linear model of EMVA Standard 1288 with its fixed pattern.

Source: EMVA Standard 1288, Release 4.0 Linear: sigma_y² = K² sigma_d² + sigma_q² + K (mu_y - mu_y.dark), with
sigma_q² = 1/12; PRNU and DSNU are the standard deviations of the response and of the dark signal over the pixels.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.simulation.camera.model import Sensor

Electrons = NDArray[np.float32]
Raw = NDArray[np.uint16]

SKEWED = 0.12
"""Electrons are counted as a Poisson number where shot and read noise together would have a skewness above this; a
normal number of equal mean and variance is as good elsewhere, and ten times as fast."""
_STRIP = 256


@dataclass(frozen=True, slots=True, eq=False)
class FixedPattern:
    """What stays from frame to frame of one sensor."""

    response: NDArray[np.float16]
    """Deviation of each pixel's response from 1, ``(height, width)``; -1 for a dead pixel."""
    dark_e: NDArray[np.float16]
    """Deviation of each pixel's dark signal, electrons."""
    hot: NDArray[np.intp]
    """Flat indices of pixels with dark current."""
    hot_e_per_s: Electrons


def fixed_pattern(sensor: Sensor) -> FixedPattern:
    """Draw the pattern of a sensor from its seed."""
    rng = np.random.default_rng((sensor.seed, 21))
    width, height = sensor.size_px
    maps = []
    for spread in (sensor.prnu, sensor.dsnu_e):
        one = np.empty((height, width), dtype=np.float16)
        for top in range(0, height, _STRIP):
            rows = one[top : top + _STRIP]
            rows[...] = rng.standard_normal(rows.shape, dtype=np.float32) * np.float32(spread)
        maps.append(one)
    count = width * height
    dead = rng.integers(0, count, round(sensor.dead_share * count))
    hot = np.unique(rng.integers(0, count, round(sensor.hot_share * count)))
    maps[0].ravel()[dead] = -1
    rate = rng.exponential(sensor.hot_e_per_s, len(hot)).astype(np.float32)
    return FixedPattern(maps[0], maps[1], hot, rate)


def digital(
    sensor: Sensor,
    pattern: FixedPattern,
    electrons: Electrons,
    rng: np.random.Generator,
    *,
    exposure_s: float,
    row_factor: NDArray[np.float64] | None = None,
) -> Raw:
    """Give what one frame of a sensor holds.

    Args:
        sensor: gain, noise, bits.
        pattern: of that sensor.
        electrons: mean electrons of each pixel from light, ``(height, width)``, before PRNU.
        rng: draws the noise of this frame.
        exposure_s: for the current of hot pixels.
        row_factor: on the light of each row, ``(height,)``.
    """
    height, width = electrons.shape
    out = np.empty((height, width), dtype=np.uint16)
    for top in range(0, height, _STRIP):
        strip = slice(top, min(top + _STRIP, height))
        mean = electrons[strip] * (1 + pattern.response[strip].astype(np.float32))
        if row_factor is not None:
            mean *= row_factor[strip, None].astype(np.float32)
        first, last = np.searchsorted(pattern.hot, (strip.start * width, strip.stop * width))
        mean.ravel()[pattern.hot[first:last] - top * width] += pattern.hot_e_per_s[first:last] * np.float32(exposure_s)
        out[strip] = _read_out(sensor, _counted(mean, sensor.read_noise_e, rng), pattern.dark_e[strip])
    return out


def _counted(mean: Electrons, read_noise_e: float, rng: np.random.Generator) -> Electrons:
    """Draw electrons with their shot noise and the read noise."""
    noise = rng.standard_normal(mean.shape, dtype=np.float32)
    dark = np.float32(read_noise_e**2)
    variance = mean + dark
    # mean / variance^1.5 is largest where the mean is twice the variance of the read noise.
    if 2 * dark >= SKEWED * (3 * dark) ** 1.5:
        few = mean > SKEWED * variance**1.5
        variance[few] = dark
        noise *= np.sqrt(variance)
        noise[few] += rng.poisson(mean[few]) - mean[few]
    else:
        noise *= np.sqrt(variance)
    return np.asarray(noise + mean)


def _read_out(sensor: Sensor, electrons: Electrons, dark_e: NDArray[np.float16]) -> Raw:
    full = np.minimum(electrons, np.float32(sensor.full_well_e))
    full += dark_e
    full *= np.float32(sensor.gain_dn_per_e)
    full += np.float32(sensor.offset_dn)
    np.rint(full, out=full)
    return np.clip(full, 0, 2**sensor.bits - 1).astype(np.uint16)
