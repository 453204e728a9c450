"""Patches as figures see them: mean X, Y, Z with everything that is doubtful about them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.readings.table import ReadingTable
from panelwear.uncertainty.type_a import pooled

Real = NDArray[np.float64]

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


def placement_of(means_by_visit: Sequence[Mean], assumed: float) -> Placement:
    """Find the placement's spread from patches read in several placements at one place, else take the assumed one."""
    spreads, dofs = [], []
    for place in sorted({m.place for m in means_by_visit}):
        levels: dict[str, dict[int, float]] = {}
        for mean in means_by_visit:
            if mean.place == place and mean.Y > 0 and mean.u_Y < 0.01 * mean.Y:
                levels.setdefault(mean.key, {})[next(iter(mean.visits))] = math.log(mean.Y)
        shared = [by_visit for by_visit in levels.values() if len(by_visit) > 1]
        visits = sorted({v for by_visit in shared for v in by_visit})
        complete = [by_visit for by_visit in shared if len(by_visit) == len(visits)]
        if len(visits) > 1 and complete:
            offsets = [np.mean([by_visit[v] for by_visit in complete]) for v in visits]
            spreads.append(float(np.std(offsets, ddof=1)))
            dofs.append(len(visits) - 1)
    s, dof = pooled(spreads, dofs)
    if dof > 0:
        return Placement(s, dof, f"from {int(dof) + len(dofs)} placements at {len(dofs)} places")
    return Placement(assumed, math.inf, "assumed")
