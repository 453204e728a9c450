"""Luminance at each of the 256 drive levels; between two codes the spatial mix, which is linear in light."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

CODES = 256
MIX_PARTS = 4096
"""A spatial mix of two neighbouring codes is exact to this part of a step (a 64 x 64 tile)."""


@dataclass(frozen=True, slots=True)
class Curve:
    """Luminance in cd/m² at code 0, 1 … 255, never falling."""

    cd_m2: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.cd_m2) != CODES:
            raise ValueError(f"A response curve has {CODES} luminances, one a drive level, not {len(self.cd_m2)}.")
        if not all(np.isfinite(self.cd_m2)):
            raise ValueError("A response curve holds a luminance that is not a number.")
        for code, (low, high) in enumerate(pairwise(self.cd_m2)):
            if high < low:
                raise ValueError(
                    f"A response curve falls from drive level {code} ({low:g}) to {code + 1} ({high:g} cd/m²)."
                )

    @property
    def black_cd_m2(self) -> float:
        """Luminance at code 0."""
        return self.cd_m2[0]

    @property
    def peak_cd_m2(self) -> float:
        """Luminance at code 255."""
        return self.cd_m2[-1]

    def luminance(self, code: float) -> float:
        """Return the luminance in cd/m² at a code 0..255; a code between two stands for their mix in light."""
        below = int(min(max(code, 0.0), 255.0))
        low = self.cd_m2[below]
        return low if below == CODES - 1 else low + (min(max(code, 0.0), 255.0) - below) * (self.cd_m2[below + 1] - low)

    def code_for(self, luminance_cd_m2: float) -> float:
        """Return the lowest code, mixes included, that gives a luminance; the ends for one out of reach."""
        above = int(np.searchsorted(np.asarray(self.cd_m2), luminance_cd_m2, side="left"))
        if above == 0:
            return 0.0
        if above == CODES:
            return float(np.searchsorted(np.asarray(self.cd_m2), self.peak_cd_m2, side="left"))
        low, high = self.cd_m2[above - 1], self.cd_m2[above]
        return min(above - 1 + (luminance_cd_m2 - low) / (high - low), float(above))

    def quantum(self, code: float) -> float:
        """Return the larger of the two light steps beside a code, in cd/m²."""
        near = round(min(max(code, 0.0), 255.0))
        here = self.cd_m2[near]
        below = here - self.cd_m2[near - 1] if near > 0 else 0.0
        above = self.cd_m2[near + 1] - here if near < CODES - 1 else 0.0
        return max(below, above)

    def nearest_code(self, luminance_cd_m2: float, *, between_codes: bool = False) -> float:
        """Return the code whose light is nearest: a whole one, or a mix in parts of 1/4096."""
        wanted = self.code_for(luminance_cd_m2)
        if between_codes:
            return round(wanted * MIX_PARTS) / MIX_PARTS
        below = int(wanted)
        if below >= CODES - 1:
            return float(CODES - 1)
        too_dark = luminance_cd_m2 - self.cd_m2[below]
        too_bright = self.cd_m2[below + 1] - luminance_cd_m2
        return float(below if too_dark <= too_bright else below + 1)


def curve_of(luminances: NDArray[np.float64] | Sequence[float]) -> Curve:
    """Make a curve of 256 luminances in cd/m², lifting rounding errors that would let it fall."""
    return Curve(tuple(float(v) for v in np.maximum.accumulate(np.asarray(luminances, dtype=np.float64))))


def summed(parts: Sequence[Curve], black_cd_m2: float) -> Curve:
    """Add the light of channels driven together; the panel's black counts once."""
    total = np.full(CODES, black_cd_m2)
    for part in parts:
        total += np.asarray(part.cd_m2) - part.black_cd_m2
    return curve_of(total)
