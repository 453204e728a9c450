"""What is known of the probe beyond its repeatability: the ``[uncertainty]`` table of ``probe.toml``."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from groundwork.tables import limits

_SHARE, _LIGHT, _DOF = limits(low=0, high=0.5), limits(low=0, high=10), limits(low=0, high=10_000)
"""Largest believable terms: a share or a difference of x and y, a luminance in cd/m², and degrees of freedom."""

ASSUMED = "assumed, not measured"


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
    session_filters: float = field(default=0.002, metadata=_SHARE)
    """How far its filters wander against each other from one session to another: X, Y and Z of each primary on their
    own against white, and X and Z of greys against Y. An assumption; what one probe does, several evenings of one
    light tell."""
    session_scale_dof: float = field(default=0.0, metadata=_DOF)
    """Degrees of freedom ``session_scale`` is known with from evenings that were measured; 0: it is assumed."""
    session_xy_dof: float = field(default=0.0, metadata=_DOF)
    """Likewise of ``session_xy``."""
    session_filters_dof: float = field(default=0.0, metadata=_DOF)
    """Likewise of ``session_filters``."""
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

    def shared(self) -> MeterTerms:
        """Return the terms as each of two compared checkpoints holds them, which were learned but once.

        Welch-Satterthwaite takes the two for independent; with half the degrees of freedom each, both together weigh
        as much as was learned.
        """
        return replace(
            self,
            session_scale_dof=self.session_scale_dof / 2,
            session_xy_dof=self.session_xy_dof / 2,
            session_filters_dof=self.session_filters_dof / 2,
        )

    def _between_sessions(self) -> tuple[tuple[str, float, float], ...]:
        """Return each term between sessions in words, its value, and the degrees of freedom it was measured with."""
        return (
            (f"its scale {100 * self.session_scale:g} %", self.session_scale, self.session_scale_dof),
            (f"its x and y {self.session_xy:g}", self.session_xy, self.session_xy_dof),
            (f"its filters {100 * self.session_filters:g} %", self.session_filters, self.session_filters_dof),
        )

    def told(self) -> str:
        """Say calibration and wander between evenings in a line."""
        calibration = f"calibration {100 * self.calibration_scale:g} % in luminance, {self.calibration_xy:g} in x and y"
        parts = [f"{words} ({f'{dof:g} degrees of freedom' if dof else ASSUMED})"
                 for words, _, dof in self._between_sessions()]  # fmt: skip
        return f"{calibration}; between evenings {', '.join(parts)} (standard uncertainties)"

    def assumed(self) -> str:
        """Say which terms between sessions nobody measured; empty where all were, or where they are stated as 0."""
        listed = [words for words, value, dof in self._between_sessions() if value > 0 and not dof]
        if not listed:
            return ""
        return (
            f"The probe's day-to-day stability is {ASSUMED} ({', '.join(listed)}); "
            "'panelwear probe stability' measures it"
        )


DEFAULTS = MeterTerms()
