"""Patches as figures see them: mean X, Y, Z with everything that is doubtful about them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.readings.table import ReadingTable

Real = NDArray[np.float64]

DARK_PURPOSES = ("probe-floor", "screen-off")
"""Readings of no light of the panel: of the covered probe, of the switched-off screen."""
SIDE_PURPOSES = ("warm-up", "settling", "trial", "room", "probe-floor", "screen-off", "locate")
"""Readings taken to prepare a run, or of something else than the panel's light: no figure is made of them."""
TOLD_FLAGS = ("low-light", "not-settled", "limiter", "out-of-reach", "retried", "typed-in", "scaled")
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
    covariance: Real
    """``(3, 3)``: of the mean, from the scatter inside the visits."""
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
        return math.sqrt(float(self.covariance[1, 1]))

    @property
    def code(self) -> float:
        """Drive code of the channels the hue drives."""
        return max(self.codes)


@dataclass(frozen=True, slots=True)
class Placement:
    """How well the probe finds its place again."""

    u: float
    """Standard deviation of one placement, as a share of luminance."""
    dof: float
    note: str


def mean_of(rows: ReadingTable, drift: Real) -> Mean:
    """Average readings of one patch; X, Y, Z are averaged, never x, y (dark noisy ones would be biased).

    Args:
        rows: the readings, drift taken out.
        drift: how each deviate of the drift fits would move ln X, ln Y, ln Z of each reading, ``(n, 3, r)``.
    """
    XYZ = rows.XYZ
    has_colour = bool(np.isfinite(XYZ).all())
    if not has_colour:
        XYZ = np.repeat(XYZ[:, 1:2], 3, axis=1)
    visits, number, count = np.unique(rows.visit, return_inverse=True, return_counts=True)
    n = len(rows)
    away = XYZ - np.column_stack([np.bincount(number, XYZ[:, c]) / count for c in range(3)])[number]
    dof = n - len(visits)
    scatter = away.T @ away / (dof * n) if dof > 0 else np.zeros((3, 3))
    group, place, hue, level, geometry = (*str(rows.patch[0]).split("/", 4), "", "", "", "", "")[:5]
    return Mean(
        key=str(rows.patch[0]),
        group=group,
        place=place,
        hue=hue,
        level=level,
        geometry=geometry,
        purpose=str(rows.purpose[0]),
        pattern=str(rows.pattern[0]),
        codes=(float(rows.red[0]), float(rows.green[0]), float(rows.blue[0])),
        lit_share=float(rows.lit_share[0]),
        XYZ=XYZ.mean(axis=0),
        has_colour=has_colour,
        covariance=scatter,
        n=n,
        dof=dof,
        visits={int(v): float(c) / n for v, c in zip(visits, count, strict=True)},
        drift=drift.mean(axis=0),
        flags=tuple(f for f in TOLD_FLAGS if (np.char.find(rows.flags, f) >= 0).any()),
    )
