"""Patches as figures see them: mean X, Y, Z with everything that is doubtful about them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.panel.timeline import MANY, DriftFactor
from panelwear.readings.table import ReadingTable
from sequences.keys import PatchKey

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
        return float(np.linalg.norm(self.scatter[1]))

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


def mean_of(table: ReadingTable, rows: NDArray[np.intp], drift: DriftFactor) -> Mean:
    """Average readings of one patch; X, Y, Z are averaged, never x, y (dark noisy ones would be biased).

    Args:
        table: readings, drift taken out.
        rows: which of them, by their numbers in the table, at least one.
        drift: how each deviate of the drift fits would move the readings of the table.
    """
    XYZ = np.column_stack([table.X[rows], table.Y[rows], table.Z[rows]])
    has_colour = bool(np.isfinite(XYZ).all())
    if not has_colour:
        XYZ = np.repeat(XYZ[:, 1:2], 3, axis=1)
    n, first = len(rows), rows[0]
    visit, step = table.visit[rows], table.step[rows]
    mean = XYZ.sum(axis=0) / n
    if (visit == visit[0]).all() and (step == step[0]).all():  # one showing, as of most patches
        visits, count = visit[:1], np.array([n])
        away, dof = XYZ - mean, n - 1
    else:
        visits, count = np.unique(visit, return_counts=True)
        number = np.unique(visit * 1_000_000 + step, return_inverse=True)[1]
        size = np.bincount(number)
        away = XYZ - np.column_stack([np.bincount(number, XYZ[:, c]) / size for c in range(3)])[number]
        dof = n - len(size)
    patch = PatchKey.parse(str(table.patch[first]))
    flags = " ".join(table.flags[rows].there())
    return Mean(
        key=str(table.patch[first]),
        group=patch.group,
        place=patch.place,
        hue=patch.hue,
        level=patch.level,
        geometry=patch.geometry,
        purpose=str(table.purpose[first]),
        pattern=str(table.pattern[first]),
        codes=(float(table.red[first]), float(table.green[first]), float(table.blue[first])),
        lit_share=float(table.lit_share[first]),
        XYZ=mean,
        has_colour=has_colour,
        scatter=_scatter(away, dof) if dof > 0 else np.zeros((3, 1)),
        n=n,
        dof=dof,
        visits={int(v): float(c) / n for v, c in zip(visits, count, strict=True)},
        drift=drift.mean(rows),
        flags=tuple(told for told in TOLD_FLAGS if told in flags),
    )


def _scatter(away: Real, dof: int) -> Real:
    """Return a factor of the covariance of the mean of readings this far from their showings' means, ``(n, 3)``."""
    if len(away) <= MANY:
        return np.asarray(away.T / math.sqrt(dof * len(away)))
    return root_of(away.T @ away / (dof * len(away)))


def root_of(covariance: Real) -> Real:
    """Return F with F Fᵀ a covariance."""
    size, axes = np.linalg.eigh(covariance)
    return np.asarray(axes * np.sqrt(np.maximum(size, 0.0)))
