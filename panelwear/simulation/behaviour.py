"""What the panel's electronics do to the light: limiting by load, dimming of standing pictures, warming up."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Real = NDArray[np.float64]

LOAD_WEIGHTS = (0.35, 0.30, 0.35)
"""Share of the supply's load by channel at equal linear drive; invented, blue and red emitters draw more a candela."""


@dataclass(frozen=True, slots=True)
class Limiter:
    """A brightness limiter: nothing happens up to a load, then all light falls as a power of the load."""

    knee: float = 0.25
    """Load (mean linear drive over the screen, 0..1) up to which nothing is taken."""
    full_share: float = 288.0 / 410.0
    """What is left of the light at a full white field; 1 switches the limiter off."""

    def gain(self, load: ArrayLike) -> Real:
        """Give the factor on all light for a load 0..1."""
        loads = np.asarray(load, dtype=np.float64)
        if self.full_share >= 1 or self.knee >= 1:
            return np.ones_like(loads)
        power = math.log(self.full_share) / math.log(self.knee)
        return np.asarray((self.knee / np.maximum(loads, self.knee)) ** power)


NO_LIMITER = Limiter(knee=1.0, full_share=1.0)


@dataclass(frozen=True, slots=True)
class StaticDimming:
    """Some panels turn a picture down that stands still: after a while, slowly, to a floor."""

    after_s: float = 60.0
    floor: float = 0.85
    """Share of the light that is left in the end."""
    tau_s: float = 120.0

    def gain(self, standing_s: ArrayLike) -> Real:
        """Give the factor on all light for a picture that has stood for some seconds."""
        late = np.maximum(np.asarray(standing_s, dtype=np.float64) - self.after_s, 0.0)
        return np.asarray(1 - (1 - self.floor) * (1 - np.exp(-late / self.tau_s)))


@dataclass(frozen=True, slots=True)
class WarmUp:
    """Luminance after switching on relaxes exponentially towards the steady state, each channel by its own amount."""

    amplitudes: tuple[float, float, float] = (0.008, 0.012, 0.017)
    """What R, G, B have too much at the moment of switching on, as a share."""
    tau_s: float = 450.0

    def gain(self, on_s: ArrayLike) -> Real:
        """Give the factors ``(..., 3)`` some seconds after switching on."""
        left = np.exp(-np.asarray(on_s, dtype=np.float64) / self.tau_s)
        return np.asarray(1 + left[..., None] * np.asarray(self.amplitudes))
