"""What a raw converter or the camera itself makes of a frame: colours for every pixel, white balance, a tone curve."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from panelwear.simulation.camera.model import Sensor, filter_index
from panelwear.simulation.camera.noise import Raw

Colour = NDArray[np.float32]

_STRIP = 512
_TOE = 0.004
_SHOULDER = 0.75
_BRIGHTER = 1.5


def developed(raw: Raw, sensor: Sensor, balance: tuple[float, float, float]) -> NDArray[np.uint16]:
    """Return linear colours for every pixel, ``(height, width, 3)``, 0 for black and 65535 for the white level.

    Missing colours are the mean of their neighbours (bilinear); each filter is divided by its share of ``balance``,
    so that white comes out grey, and what goes beyond white is cut off.
    """
    height, width = raw.shape
    out = np.empty((height, width, 3), dtype=np.uint16)
    for top in range(0, height, _STRIP):
        first, last = max(top - 2, 0), min(top + _STRIP + 2, height)
        strip = _coloured(raw[first:last], sensor, balance)
        kept = strip[top - first : min(top + _STRIP, height) - first]
        out[top : top + len(kept)] = np.rint(kept * np.float32(65535)).astype(np.uint16)
    return out


def tone_curve(linear: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return what a camera's own pictures hold (0..1) for linear light 0..1: a power of 1/2.2 with toe and shoulder.

    The curve is invented: the toe crushes the darkest values as ``x² / (x + t)``, the shoulder bends what lies above
    three quarters of full scale towards white as ``1 - exp``; white is white.
    """
    return np.clip(_bent(linear) / _bent(np.ones(1)), 0, 1)


def _bent(linear: NDArray[np.float64]) -> NDArray[np.float64]:
    toed = linear**2 / (linear + _TOE)
    bright = (_BRIGHTER * toed) ** (1 / 2.2)
    room = 1 - _SHOULDER
    bent = _SHOULDER + room * (1 - np.exp(-(bright - _SHOULDER) / room))
    return np.where(bright > _SHOULDER, bent, bright)


def for_showing(colours: NDArray[np.uint16]) -> NDArray[np.uint8]:
    """Return 8-bit colours through the tone curve."""
    table = np.rint(255 * tone_curve(np.arange(65536) / 65535)).astype(np.uint8)
    return table[colours]


def _coloured(raw: Raw, sensor: Sensor, balance: tuple[float, float, float]) -> Colour:
    from scipy import ndimage

    height, width = raw.shape
    filters = filter_index(sensor.bayer)
    light = (raw.astype(np.float32) - np.float32(sensor.offset_dn)) / np.float32(sensor.white_dn - sensor.offset_dn)
    kernel = np.array([0.5, 1.0, 0.5], dtype=np.float32)
    out = np.empty((height, width, 3), dtype=np.float32)
    for which in range(3):
        there = np.tile(filters == which, (height // 2 + 1, width // 2 + 1))[:height, :width].astype(np.float32)
        sums = [
            ndimage.correlate1d(ndimage.correlate1d(one, kernel, 0, mode="mirror"), kernel, 1, mode="mirror")
            for one in (light * there, there)
        ]
        mean = np.where(there > 0, light, sums[0] / sums[1])
        out[..., which] = np.clip(mean / np.float32(balance[which]), 0, 1)
    return out
