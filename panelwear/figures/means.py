"""Patches as figures see them: mean X, Y, Z with everything that is doubtful about them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]

DARK_PURPOSES = ("probe-floor", "screen-off")
"""Readings of no light of the panel: of the covered probe, of the switched-off screen."""
SIDE_PURPOSES = ("warm-up", "settling", "trial", "room", "probe-floor", "screen-off", "locate", "control")
"""Readings taken to prepare a run, or of something else than the panel's light: no figure is made of them."""
TOLD_FLAGS = ("low-light", "not-settled", "limiter", "out-of-reach", "retried", "typed-in", "scaled", "other-meter",
              "unexpected")  # fmt: skip
"""Flags that do not bar a reading from a figure but must be said with it."""


@dataclass(frozen=True, slots=True, eq=False)
class Mean:
    """The mean of some readings of one patch, with drift taken out."""

    key: str
    group: str
    place: str
    hue: str
    level: str
    geometry: str
    purpose: str
    pattern: str
    codes: tuple[float, float, float]
    lit_share: float
    XYZ: Real
    """Mean X, Y, Z in cd/m²; X and Z stand at Y where the meter gives luminance only."""
    has_colour: bool
    scatter: Real
    """``(3, k)``: from the scatter inside the showings; times its transpose it is the covariance of the mean."""
    n: int
    dof: int
    visits: dict[int, float]
    """Share of the readings that came from each placement of the probe."""
    drift: Real
    """``(3, r)``: how each independent deviate of the drift fits would move ln X, ln Y, ln Z; the same columns for
    every mean of a session."""
    flags: tuple[str, ...] = ()

    @property
    def Y(self) -> float:
        """Luminance in cd/m²."""
        return float(self.XYZ[1])

    @property
    def u_Y(self) -> float:
        """Standard uncertainty of the mean luminance from repeatability alone."""
        own = self.scatter[1]
        return math.sqrt(own.dot(own))

    @property
    def code(self) -> float:
        """Drive level of the channels the hue drives."""
        return max(self.codes)


@dataclass(frozen=True, slots=True)
class Placement:
    """How well the probe finds its place again."""

    u: float
    """Standard deviation of one placement, as a share of luminance."""
    dof: float
    note: str


def root_of(covariance: Real) -> Real:
    """Return F with F Fᵀ a covariance."""
    size, axes = np.linalg.eigh(covariance)
    return np.asarray(axes * np.sqrt(np.maximum(size, 0.0)))
