"""What is known of the probe beyond its repeatability: the ``[uncertainty]`` table of ``probe.toml``."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from groundwork.tables import limits

_SHARE, _LIGHT = limits(low=0, high=0.5), limits(low=0, high=10)
"""Largest believable terms: a share or a difference of x and y, and a luminance in cd/m²."""


@dataclass(frozen=True, slots=True)
class MeterTerms:
    """Standard uncertainties of the probe; relative (0.01 = 1 %) unless the name says otherwise."""

    calibration_scale: float = field(default=0.0, metadata=_SHARE)
    """Absolute luminance, from the certificate. Stays the same for the same calibration: cancels over time."""
    calibration_xy: float = field(default=0.0, metadata=_SHARE)
    """Absolute x and y, from the certificate or the residuals of a correction matrix."""
    session_scale: float = field(default=0.005, metadata=_SHARE)
    """How far the luminance scale wanders from one session to another."""
    session_xy: float = field(default=0.00025, metadata=_SHARE)
    """How far x and y wander from one session to another (absolute)."""
    linearity_per_decade: float = field(default=0.0, metadata=_SHARE)
    """Scale error for every factor of ten in luminance away from 100 cd/m²."""
    placement: float = field(default=0.001, metadata=_SHARE)
    """Luminance after lifting the probe and putting it back; used until two placements have told."""
    placement_xy: float = field(default=0.0, metadata=_SHARE)
    """The same for x and y (absolute)."""
    resolution_cd_m2: float = field(default=0.0, metadata=_LIGHT)
    """Step of the last digit."""
    dark_noise_cd_m2: float = field(default=0.003, metadata=_LIGHT)
    """Standard deviation of one reading of black."""
    zero_cd_m2: float = field(default=0.0, metadata=_LIGHT)
    """Uncertainty of the dark zero, common to all readings of a session."""

    def floor_cd_m2(self, n: int = 1) -> float:
        """Return the least luminance n readings can tell from black, 3.3 s / sqrt(n).

        Common practice, no source: 2 x 1.645 s keeps false detections and missed ones to 5 % each.
        """
        return 3.3 * math.hypot(self.dark_noise_cd_m2 / math.sqrt(max(n, 1)), self.zero_cd_m2)


DEFAULTS = MeterTerms()
