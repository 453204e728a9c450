"""From linear drive to light: sub-pixels, wear and mixture. Shared by the picture path and the numeric path."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.simulation.mixing import primaries_xyz, xyz_of
from panelwear.simulation.model import PanelModel
from panelwear.simulation.response import code_response

Real = NDArray[np.float64]


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
