"""Refresh bands: a panel whose light goes up and down, seen row after row by a rolling shutter."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from panelwear.simulation.camera.model import Flicker


def band_amplitude(flicker: Flicker, exposure_s: float) -> float:
    """Return the amplitude of the bands as a share of the light: m |sin(pi f T) / (pi f T)|.

    Source: mean of a cosine over the exposure, elementary calculus.
    """
    return float(flicker.modulation * abs(np.sinc(flicker.frequency_hz * exposure_s)))


def row_factors(flicker: Flicker, exposure_s: float, rows: int, readout_s: float, phase: float) -> NDArray[np.float64]:
    """Return the factor on the light of each row, ``(rows,)``.

    Args:
        flicker: of the panel.
        exposure_s: how long each row looks.
        rows: of the sensor.
        readout_s: from the first row's beginning to the last row's.
        phase: of the panel's light where the first row begins, in turns (0..1).
    """
    begins_s = np.arange(rows) / max(rows - 1, 1) * readout_s
    middle = flicker.frequency_hz * (begins_s + exposure_s / 2) + phase
    through = np.sinc(flicker.frequency_hz * exposure_s)
    return np.asarray(1 + flicker.modulation * through * np.cos(2 * math.pi * middle))
