"""Moire: the panel's sub-pixels sampled by the sensor's pixels, worked out harmonic by harmonic.

An evenly lit panel of equal pixels is a Fourier series in panel pixels. A camera pixel sees each harmonic with the
contrast that blur and its own area leave (MTF), at the phase of its own middle; where a harmonic lies near the sampling
frequency, those samples are the moire. Nothing is painted: period and direction follow from where the pixels lie.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.simulation.camera.model import SubPixels

Real = NDArray[np.float64]

HIGHEST = 3
"""Harmonics up to this order are looked at, across and down."""
SMALLEST = 2e-5
"""Amplitudes below this share of the light are left out."""


@dataclass(frozen=True, slots=True, eq=False)
class Harmonic:
    """One harmonic of the panel's grid as the three filters see it, before blur."""

    across: int
    down: int
    amplitude: NDArray[np.complex128]
    """``(3,)``, relative to the filter's mean signal; already doubled for the harmonic of opposite sign."""


def areas(layout: SubPixels) -> Real:
    """Return the luminous areas of red, green, blue and white, ``(4, 4)``: middle x, y, width, height.

    White, where a panel has it, is put over the whole width of the pixel.
    """
    return np.array([layout.red, layout.green, layout.blue, (0.5, 0.5, 0.9, 0.3)])


def harmonics(layout: SubPixels, signal: Real) -> list[Harmonic]:
    """Return the harmonics of a panel's light behind three filters.

    Args:
        layout: where the sub-pixels lie.
        signal: mean signal behind each filter (rows) from each channel (columns), ``(3, 3 or 4)``.
    """
    x, y, width, height = areas(layout)[: signal.shape[1]].T
    total = signal.sum(axis=1, keepdims=True)
    share = np.divide(signal, total, out=np.zeros_like(signal), where=total > 0)
    found = []
    for across in range(HIGHEST + 1):
        for down in range(-HIGHEST if across else 1, HIGHEST + 1):
            contrast = np.sinc(across * width) * np.sinc(down * height)
            each = 2 * contrast * np.exp(-2j * np.pi * (across * x + down * y))
            found.append(Harmonic(across, down, share @ each))
    return found


def offset_px(layout: SubPixels, signal: Real) -> Real:
    """Return by how much the light behind each filter lies off the middles of the panel's pixels, ``(3, 2)`` (x, y)."""
    total = signal.sum(axis=1, keepdims=True)
    share = np.divide(signal, total, out=np.zeros_like(signal), where=total > 0)
    middles = areas(layout)[: signal.shape[1], :2]
    return np.asarray(share @ (middles - 0.5) * (total > 0))


def mtf(gradients: Real, across: int, down: int, blur_px: float, disc_px: float = 0.0) -> Real:
    """Return the contrast that a camera pixel's area, blur and defocus leave of a harmonic of the panel's grid.

    Args:
        gradients: d(u, v)/d(x, y), panel pixels for each camera pixel, ``(..., 2, 2)``.
        across: order of the harmonic along the panel's width.
        down: order along its height.
        blur_px: standard deviation of the blur in camera pixels.
        disc_px: diameter of the defocus disc in camera pixels; beyond its zeros light and dark are exchanged.

    Source: Gaussian exp(-2 pi² sigma² f²), a square pixel's sinc(fx) sinc(fy), and a disc's 2 J1(x)/x with
    x = pi d f (J. W. Goodman, Introduction to Fourier Optics; from memory).
    """
    fx, fy = (across * gradients[..., 0, axis] + down * gradients[..., 1, axis] for axis in (0, 1))
    blur = np.exp(-2 * np.pi**2 * blur_px**2 * (fx**2 + fy**2))
    return np.asarray(blur * disc_mtf(disc_px, np.hypot(fx, fy)) * np.sinc(fx) * np.sinc(fy))


def disc_mtf(disc_px: float, frequency: Real) -> Real:
    """Return 2 J1(x)/x with x = pi d f: the contrast an even disc of diameter d leaves at a frequency; 1 for none."""
    from scipy.special import j1

    x = np.pi * disc_px * np.asarray(frequency, dtype=np.float64)
    return np.asarray(np.where(np.abs(x) < 1e-6, 1.0, 2 * j1(x) / np.where(np.abs(x) < 1e-6, 1.0, x)))
