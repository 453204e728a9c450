"""What is known of the probe beyond its repeatability: the ``[uncertainty]`` table of ``probe.toml``."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping
from dataclasses import dataclass, fields

from panelwear.errors import FileFault


@dataclass(frozen=True, slots=True)
class MeterTerms:
    """Standard uncertainties of the probe; relative (0.01 = 1 %) unless the name says otherwise."""

    calibration_scale: float = 0.0
    """Absolute luminance, from the certificate. Stays the same for the same calibration: cancels over time."""
    calibration_xy: float = 0.0
    """Absolute x and y, from the certificate or the residuals of a correction matrix."""
    session_scale: float = 0.005
    """How far the luminance scale wanders from one session to another."""
    session_xy: float = 0.00025
    """How far x and y wander from one session to another (absolute)."""
    linearity_per_decade: float = 0.0
    """Scale error for every factor of ten in luminance away from 100 cd/m²."""
    placement: float = 0.001
    """Luminance after lifting the probe and putting it back; used until two placements have told."""
    placement_xy: float = 0.0
    """The same for x and y (absolute)."""
    resolution_cd_m2: float = 0.0
    """Step of the last digit."""
    dark_noise_cd_m2: float = 0.003
    """Standard deviation of one reading of black."""
    zero_cd_m2: float = 0.0
    """Uncertainty of the dark zero, common to all readings of a session."""

    def floor_cd_m2(self, n: int = 1) -> float:
        """Return the least luminance n readings can tell from black, 3.3 s / sqrt(n).

        Common practice, no source: 2 x 1.645 s keeps false detections and missed ones to 5 % each.
        """
        return 3.3 * math.hypot(self.dark_noise_cd_m2 / math.sqrt(max(n, 1)), self.zero_cd_m2)


LARGEST = {"resolution_cd_m2": 10.0, "dark_noise_cd_m2": 10.0, "zero_cd_m2": 10.0}
"""Largest believable value of a term in cd/m²; all the others are shares and must stay below 0.5."""

DEFAULTS = MeterTerms()


def from_mapping(data: Mapping[str, object], where: str = "probe.toml: [uncertainty]") -> MeterTerms:
    """Read the table; ``FileFault`` lists every key that is unknown and every value that makes no sense."""
    problems: list[str] = []
    known = [f.name for f in fields(MeterTerms)]
    terms: dict[str, float] = {}
    for key, given in data.items():
        if key not in known:
            near = difflib.get_close_matches(key, known, n=1)
            hint = f"did you mean '{near[0]}'?" if near else f"known are {', '.join(known)}."
            problems.append(f"{where}: there is no key '{key}'; {hint}")
            continue
        largest = LARGEST.get(key, 0.5)
        number = float(given) if isinstance(given, int | float) and not isinstance(given, bool) else math.nan
        if not 0 <= number <= largest:
            problems.append(f"{where}: {key} is {given!r}; it must be a number from 0 to {largest:g}.")
            continue
        terms[key] = number
    if problems:
        raise FileFault(tuple(problems))
    return MeterTerms(**terms)
