"""From linear drive to light: sub-pixels, wear and mixture. Shared by the picture path and the numeric path."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from panelwear.simulation.model import PanelModel

Real = NDArray[np.float64]


def code_response(gamma: float, s_shape: float = 0.0) -> Real:
    """Give the 256 linear drives of one channel, 0 at code 0 and 1 at code 255, strictly rising.

    Args:
        gamma: exponent of the power law; real displays lie between 1.8 and 2.6.
        s_shape: 0 for a pure power; up to 0.9 steepens the middle and flattens both ends.
    """
    if not 0 <= s_shape < 1:
        raise ValueError(f"s_shape is {s_shape:g}; allowed are 0 up to below 1")
    v = np.arange(256) / 255
    bent = v - s_shape * np.sin(2 * math.pi * v) / (2 * math.pi)
    return np.asarray(bent**gamma)


def drives(curves: Real, codes: ArrayLike) -> Real:
    """Look whole or fractional codes ``(..., 3)`` up in curves ``(3, 256)``.

    A fractional code is a spatial mix of two neighbours, so the *light* is interpolated (as in ``patterns.frame``).
    """
    wanted = np.clip(np.asarray(codes, dtype=np.float64), 0, 255)
    low = np.minimum(np.floor(wanted).astype(np.intp), 254)
    share = wanted - low
    channel = np.arange(3)
    return np.asarray(curves[channel, low] * (1 - share) + curves[channel, low + 1] * share)


def xyz_of(xy: ArrayLike, luminance_cd_m2: ArrayLike = 1.0) -> Real:
    """Give the tristimulus values of chromaticities ``(..., 2)`` at a luminance in cd/m²."""
    pairs = np.asarray(xy, dtype=np.float64)
    x, y = pairs[..., 0], pairs[..., 1]
    relative = np.stack([x / y, np.ones_like(x), (1 - x - y) / y], axis=-1)
    return np.asarray(relative * np.asarray(luminance_cd_m2, dtype=np.float64)[..., None])


def primaries_xyz(primaries_xy: ArrayLike, white_xy: ArrayLike, white_cd_m2: float) -> Real:
    """Share a white out to three primaries: rows are X, Y, Z of R, G, B at full drive, summing to the white.

    Args:
        primaries_xy: ``(3, 2)``.
        white_xy: ``(2,)``.
        white_cd_m2: luminance of the white.

    Source: solving ``P Yk = W``, the usual derivation of an RGB to XYZ matrix (SMPTE RP 177).
    """
    columns = xyz_of(primaries_xy)
    amounts = np.linalg.solve(columns.T, xyz_of(white_xy, white_cd_m2))
    return np.asarray(columns * amounts[:, None])


@dataclass(frozen=True, slots=True, eq=False)
class Spot:
    """What wear and factory make of the light at n points of the panel."""

    gain: Real
    """Factors on the light of R, G, B, W: retention times native unevenness, ``(n, 4)``."""
    backplane: Real
    """Coefficient c1 of the backplane's shift for R, G, B, W, ``(n, 4)``."""


@dataclass(frozen=True, slots=True, eq=False)
class Emission:
    """The optics of a panel when new: code curves and tristimulus values of its sub-pixels."""

    curves: Real
    """Linear drive for each channel and code, ``(3, 256)``."""
    rows: Real
    """X, Y, Z of R, G, B, W at full drive, ``(4, 3)``, cd/m²."""
    black: Real
    """X, Y, Z of black, ``(3,)``, cd/m²."""
    white_share: float

    def subpixels(self, drive: Real) -> Real:
        """Share linear drives ``(..., 3)`` out to R, G, B, W: ``(..., 4)``."""
        grey = drive.min(axis=-1, keepdims=True)
        return np.concatenate([drive - self.white_share * grey, grey], axis=-1)

    def driven(self, drive: Real, spot: Spot) -> Real:
        """Give the light of R, G, B, W as shares of full drive when new, ``(..., n, 4)``, at the n points of a spot.

        The backplane's shift is ``l + c1 sqrt(l)``, never below zero: a threshold-voltage shift in a square-law
        pixel, to first order, so that its contrast grows as the inverse root of the luminance.
        """
        wanted = self.subpixels(drive)
        driven = np.maximum(wanted + spot.backplane * np.sqrt(np.maximum(wanted, 0.0)), 0.0)
        return np.asarray(driven * spot.gain)

    def light(self, drive: Real, spot: Spot) -> Real:
        """Give X, Y, Z for linear drives ``(..., n, 3)`` at the n points of a spot: ``(..., n, 3)``, without black."""
        return np.asarray(self.driven(drive, spot) @ self.rows)


def emission_of(model: PanelModel) -> Emission:
    """Work out the optics of a panel."""
    curves = np.stack([code_response(gamma, model.s_shape) for gamma in model.gammas])
    additive = model.peak_cd_m2 / model.additivity
    primaries = primaries_xyz(model.primaries_xy, model.white_xy, additive)
    white = xyz_of(model.white_xy, additive * (model.white_share + model.additivity - 1))
    black = xyz_of(model.white_xy, model.black_cd_m2)
    return Emission(curves, np.vstack([primaries, white]), black, model.white_share)
