"""Contrasts and their kin: plain formulas of the trade, on luminances in cd/m² (IDMS unless said)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike


def sequential(white_cd_m2: float, black_cd_m2: float, ambient_cd_m2: float = 0.0) -> float:
    """Return white over black, with the room's reflected light on both where given."""
    return (white_cd_m2 + ambient_cd_m2) / (black_cd_m2 + ambient_cd_m2)


def checkerboard(white_cells_cd_m2: ArrayLike, black_cells_cd_m2: ArrayLike) -> float:
    """Return the mean of the white cells over the mean of the black ones."""
    return float(np.mean(np.asarray(white_cells_cd_m2)) / np.mean(np.asarray(black_cells_cd_m2)))


def additivity(white_cd_m2: float, red_cd_m2: float, green_cd_m2: float, blue_cd_m2: float) -> float:
    """Return white over the sum of its primaries."""
    return white_cd_m2 / (red_cd_m2 + green_cd_m2 + blue_cd_m2)


def gamma(signal: ArrayLike, luminance_cd_m2: ArrayLike, black_cd_m2: float = 0.0) -> float:
    """Return the least-squares slope of log net luminance against log signal; signals must be above 0."""
    log_V = np.log(np.asarray(signal, dtype=np.float64))
    log_L = np.log(np.asarray(luminance_cd_m2, dtype=np.float64) - black_cd_m2)
    away = log_V - log_V.mean()
    return float(away @ log_L / (away @ away))
