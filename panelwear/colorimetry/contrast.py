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


def weber(zone_cd_m2: float, reference_cd_m2: float) -> float:
    """Return L_zone / L_reference - 1; above 0 the zone is brighter."""
    return zone_cd_m2 / reference_cd_m2 - 1


def michelson(zone_cd_m2: float, reference_cd_m2: float) -> float:
    """Return the difference over the sum, without sign."""
    return abs(zone_cd_m2 - reference_cd_m2) / (zone_cd_m2 + reference_cd_m2)


def michelson_of_weber(contrast: float) -> float:
    """Return C / (2 + C)."""
    return contrast / (2 + contrast)


def sticking(zone_then: float, zone_now: float, reference_then: float, reference_now: float) -> float:
    """Return how much more a zone lost than its reference, 1 - (zone now / then) / (reference now / then)."""
    return 1 - (zone_now / zone_then) / (reference_now / reference_then)


def luminance_ratio(peak_cd_m2: float, black_cd_m2: float, ambient_cd_m2: float = 0.0) -> float:
    """Return L'max / L'min with the room's light on both (AAPM TG18)."""
    return sequential(peak_cd_m2, black_cd_m2, ambient_cd_m2)


def additivity(white_cd_m2: float, red_cd_m2: float, green_cd_m2: float, blue_cd_m2: float) -> float:
    """Return white over the sum of its primaries."""
    return white_cd_m2 / (red_cd_m2 + green_cd_m2 + blue_cd_m2)


def loading_percent(window_cd_m2: float, full_cd_m2: float) -> float:
    """Return how much a window is brighter than the full field, in per cent of the field."""
    return 100 * (window_cd_m2 - full_cd_m2) / full_cd_m2


def gamma(signal: ArrayLike, luminance_cd_m2: ArrayLike, black_cd_m2: float = 0.0) -> float:
    """Return the least-squares slope of log net luminance against log signal; signals must be above 0."""
    log_V = np.log(np.asarray(signal, dtype=np.float64))
    log_L = np.log(np.asarray(luminance_cd_m2, dtype=np.float64) - black_cd_m2)
    away = log_V - log_V.mean()
    return float(away @ log_L / (away @ away))
