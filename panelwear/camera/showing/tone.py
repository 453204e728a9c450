"""From a map to grey pixels: about mid grey with a fixed gain, in light, never stretched to the picture's own range.

A screen in sRGB (IEC 61966-2-1, from memory) shows gain 1 with the ratios of light the panel has.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.field_map import FieldMap

Real = NDArray[np.float64]
Pixels = NDArray[np.uint8]
Mask = NDArray[np.bool_]

MID_GREY = 0.2140
"""Light of code 127.5 in sRGB, relative to white: what the mean of a map is shown as."""
GAIN = 8
"""How much a map is exaggerated, in all pictures of all months alike, where a person asks for no other."""
LEAST_GAIN, MOST_GAIN = 1.0, 100.0
"""At 1 nothing is exaggerated; at 100 the noise of one cell alone goes from black to white."""
TOO_BRIGHT, TOO_DARK, NOT_SEEN = (0xE0, 0x7B, 0x00), (0x00, 0x8F, 0xD0), (0x45, 0x30, 0x55)
"""Colours of cells that cannot be shown at the gain, and of those the camera did not see."""
GRAIN_SEED = 20
CLIPPED = "Orange: brighter, blue: darker than the picture can show at this gain. Violet: not seen by the camera."
GRAINED = (
    "With a fixed grain of up to 1 drive level, alike in all pictures, so that video compression keeps dark shades."
)


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """A map as it is to be shown."""

    value: Real
    """Drive levels 0..255 with fractions."""
    bright: Mask
    dark: Mask
    unseen: Mask


def own_mean(one: FieldMap) -> Real:
    """Return a map relative to its own mean less one; NaN where it is not usable."""
    light = np.where(one.usable, one.light, np.nan).astype(np.float64)
    return np.asarray(light / np.nanmean(light) - 1) if one.usable.any() else np.full(light.shape, np.nan)


def shown(relative: Real, gain: float) -> Shown:
    """Return a map's light about its mean as drive levels.

    Args:
        relative: light over the mean less one, NaN where unknown.
        gain: by how much differences are exaggerated; 1: as it is.
    """
    unseen = ~np.isfinite(relative)
    light = MID_GREY * (1 + gain * np.where(unseen, 0.0, relative))
    return Shown(255 * _srgb(np.clip(light, 0.0, 1.0)), light > 1, light < 0, unseen)


def _srgb(light: Real) -> Real:
    return np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055)


def pixels(one: Shown, times: int = 1, grain: bool = False) -> Pixels:
    """Return a map's pixels, ``(height, width, 3)``.

    Args:
        one: the map.
        times: each cell is a square of so many pixels.
        grain: add a fixed noise of triangular distribution, ± 1 drive level, before rounding.
    """
    value, *marks = (
        np.repeat(np.repeat(part, times, axis=0), times, axis=1)
        for part in (one.value, one.bright, one.dark, one.unseen)
    )
    grey = np.asarray(value, dtype=np.float64)
    if grain:
        draws = np.random.default_rng(GRAIN_SEED).random((2, *grey.shape))
        grey = grey + draws[0] - draws[1]
    codes = np.clip(np.floor(grey + 0.5), 0, 255).astype(np.uint8)
    made = np.repeat(codes[:, :, None], 3, axis=2)
    for mask, colour in zip(marks, (TOO_BRIGHT, TOO_DARK, NOT_SEEN), strict=True):
        made[np.asarray(mask, dtype=bool)] = colour
    return made
