"""How a lens loses light towards the corners of the frame."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from panelwear.simulation.camera.model import CameraModel, Lens

Real = NDArray[np.float64]


def cos4(tangent_squared: ArrayLike) -> Real:
    """Return cos⁴ of the angle to the axis, from its tangent squared: the illumination of an even field's picture.

    Source: the cos⁴ law (M. Reiss, J. Opt. Soc. Am. 35 (1945) 283; from memory).
    """
    return np.asarray(1 / (1 + np.asarray(tangent_squared, dtype=np.float64)) ** 2)


def barrel(lens: Lens, radius_squared: ArrayLike) -> Real:
    """Return what the barrel leaves at r² in half diagonals squared: 1 - v (N widest / N)² r⁴. The form is invented."""
    lost = lens.vignetting * (lens.widest_f_number / lens.f_number) ** 2
    return np.maximum(1 - lost * np.asarray(radius_squared, dtype=np.float64) ** 2, 0.0)


def shading(camera: CameraModel, x: ArrayLike, y: ArrayLike) -> Real:
    """Return the light at places of the frame as a share of that on the axis; x and y broadcast.

    Places are taken as the distorted frame has them: the angle belongs to where the light falls on the sensor.
    """
    width, height = camera.sensor.size_px
    square = (np.asarray(x) - width / 2) ** 2 + (np.asarray(y) - height / 2) ** 2
    pitch_mm = camera.sensor.pitch_um / 1000
    half = math.hypot(width, height) / 2
    return cos4(square * (pitch_mm / camera.lens.focal_mm) ** 2) * barrel(camera.lens, square / half**2)
