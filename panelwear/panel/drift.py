"""Drift inside a session, taken out by the reference patches.

Model: ln Y_i = level of (visit, patch) + s(t_i), s a polynomial of time or a relaxation (what is left of a warm-up),
least squares with covariance (drift elimination: Sutton 1994; alternating series: Swanson 2010). Which shape the data
bear is not decided but weighed: each counts by its Akaike weight, and what they disagree on is part of the uncertainty
(Burnham & Anderson 2002, 4.3.2). One fit a segment: time and drift do not reach across an interruption. Readings stay
as they are; ``corrected`` gives new ones. X and Z follow Y here; what they do besides is ``tint_drift``'s.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from panelwear.readings.table import ReadingTable

Real = NDArray[np.float64]

MAX_DEGREE = 5
BELIEVABLE = 0.2
"""Largest ln ratio a warmed-up panel can drift by in one session; a reference reading further off is a mishap."""
RELAXATIONS = (0.1, 0.2, 0.4, 0.8)
"""Time constants of the relaxations that are tried, as shares of the segment's time."""


@dataclass(frozen=True, slots=True)
class Shape:
    """One form s(t) may have."""

    degree: int
    """Of the polynomial; its constant is the level of the patch."""
    relaxation: float | None = None
    """Time constant as a share of the segment, in place of a polynomial."""

    @property
    def columns(self) -> int:
        """How many coefficients it has."""
        return self.degree if self.relaxation is None else 1

    @property
    def price(self) -> float:
        """What it pays in Akaike's criterion: 2 a coefficient; relaxations share one prior and pay for their time."""
        return 2.0 * self.degree if self.relaxation is None else 4.0 + 2 * math.log(len(RELAXATIONS))

    def basis(self, times_s: Real, start_s: float, end_s: float) -> Real:
        """Return its columns at some times, ``(n, columns)``."""
        share = (times_s - start_s) / max(end_s - start_s, 1e-9)
        if self.relaxation is not None:
            return np.asarray(np.exp(-share / self.relaxation)[:, None], dtype=np.float64)
        return np.asarray(np.polynomial.legendre.legvander(2 * share - 1, self.degree)[:, 1:], dtype=np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """One shape fitted to the reference readings of a segment."""

    shape: Shape
    weight: float
    coefficients: Real
    covariance: Real


@dataclass(frozen=True, slots=True, eq=False)
class SegmentDrift:
    """s(t) of one segment, as ln of a factor on luminance; zero on average over the reference readings."""

    segment: int
    start_s: float
    end_s: float
    candidates: tuple[Candidate, ...]
    centre: tuple[Real, ...]
    """Mean basis over the reference readings, one row a candidate."""
    dof: float
    noise: float
    """Standard deviation of ln Y of one reference reading about the model."""

    def _basis(self, times_s: Real, which: int) -> Real:
        # Held still beyond the reference readings: a polynomial has no business outside its data.
        inside = np.clip(times_s, self.start_s, self.end_s)
        return self.candidates[which].shape.basis(inside, self.start_s, self.end_s) - self.centre[which]

    def log_drift(self, times_s: Real) -> Real:
        """Return s at times in seconds, ``(n,)``."""
        times = np.asarray(times_s, dtype=np.float64)
        parts = [c.weight * (self._basis(times, i) @ c.coefficients) for i, c in enumerate(self.candidates)]
        return np.asarray(np.sum(parts, axis=0), dtype=np.float64)

    def factor(self, times_s: Real) -> Real:
        """Return F ``(n, r)`` with F Fᵀ the covariance of s at times: uncertainty within and between the candidates."""
        times = np.asarray(times_s, dtype=np.float64)
        best = self.log_drift(times)
        columns = []
        for i, candidate in enumerate(self.candidates):
            basis = self._basis(times, i)
            root = math.sqrt(candidate.weight)
            if len(candidate.coefficients):
                columns.append(root * basis @ np.linalg.cholesky(candidate.covariance))
            columns.append(root * (basis @ candidate.coefficients - best)[:, None])
        return np.hstack(columns)

    def covariance(self, times_s: Real) -> Real:
        """Return the covariance of s at times in seconds, ``(n, n)``."""
        factor = self.factor(times_s)
        return np.asarray(factor @ factor.T, dtype=np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class Drift:
    """The drift of a session, segment by segment; a segment with too few reference readings has none."""

    segments: tuple[SegmentDrift, ...]

    def of(self, segment: int) -> SegmentDrift | None:
        """Return the fit of a segment, or ``None``."""
        return next((s for s in self.segments if s.segment == segment), None)

    def log_drift(self, table: ReadingTable) -> Real:
        """Return s for every row, 0 where there is no fit."""
        found = np.zeros(len(table))
        for fit in self.segments:
            rows = table.segment == fit.segment
            found[rows] = fit.log_drift(table.monotonic_s[rows])
        return found

    def factor(self, table: ReadingTable) -> Real:
        """Return F ``(n, r)`` with F Fᵀ the covariance of s between all rows; segments share no column."""
        blocks = []
        for fit in self.segments:
            rows = table.segment == fit.segment
            block = fit.factor(np.where(rows, table.monotonic_s, fit.start_s))
            blocks.append(np.where(rows[:, None], block, 0.0))
        return np.hstack(blocks) if blocks else np.zeros((len(table), 0))

    def u(self, table: ReadingTable) -> Real:
        """Return the standard uncertainty of s for every row, as a share of luminance."""
        return np.asarray(np.linalg.norm(self.factor(table), axis=1), dtype=np.float64)

    def corrected(self, table: ReadingTable) -> ReadingTable:
        """Return the table with X, Y and Z divided by the drift factor; the given table stays as it is."""
        factor = np.exp(-self.log_drift(table))
        return replace(table, X=table.X * factor, Y=table.Y * factor, Z=table.Z * factor)


def fit_drift(table: ReadingTable) -> Drift:
    """Fit the drift through the usable readings with the purpose ``reference``."""
    rows = table.usable()
    rows = _without_mishaps(rows.where((rows.purpose == "reference") & (rows.Y > 0)))
    fits = (_fit_segment(rows.where(rows.segment == number), int(number)) for number in np.unique(rows.segment))
    return Drift(tuple(fit for fit in fits if fit is not None))


def _without_mishaps(rows: ReadingTable) -> ReadingTable:
    """Leave reference readings out that lie far off the median of their visit: a hand over the probe, a lost patch."""
    keep = np.ones(len(rows), dtype=bool)
    level = np.array([f"{s}|{v}|{p}" for s, v, p in zip(rows.segment, rows.visit, rows.patch, strict=True)])
    for name in np.unique(level):
        mine = level == name
        log_Y = np.log(rows.Y[mine])
        keep[mine] = np.abs(log_Y - np.median(log_Y)) <= BELIEVABLE
    return rows.where(keep)


@dataclass(frozen=True, slots=True, eq=False)
class _Showings:
    """Each showing of a reference patch averaged."""

    time: Real
    log_Y: Real
    n: Real
    level: NDArray[np.intp]
    """Which (visit, patch) it belongs to, from 0."""
    within: float
    """Sum of squares inside the showings."""
    within_dof: int


@dataclass(frozen=True, slots=True, eq=False)
class _Fitted:
    """One shape by least squares; ``inverse`` still to be scaled by the variance of a reading."""

    shape: Shape
    coefficients: Real
    inverse: Real
    left: float
    """Weighted sum of squares it leaves."""
    dof: int


def _showings(rows: ReadingTable) -> _Showings:
    name = np.array([f"{v}|{p}|{s}" for v, p, s in zip(rows.visit, rows.patch, rows.step, strict=True)])
    _, first, number = np.unique(name, return_index=True, return_inverse=True)
    log_Y = np.log(rows.Y)
    n = np.bincount(number).astype(np.float64)
    mean = np.bincount(number, log_Y) / n
    level_name = np.array([f"{rows.visit[i]}|{rows.patch[i]}" for i in first])
    return _Showings(
        time=np.bincount(number, rows.monotonic_s) / n,
        log_Y=mean,
        n=n,
        level=np.unique(level_name, return_inverse=True)[1],
        within=float(((log_Y - mean[number]) ** 2).sum()),
        within_dof=len(rows) - len(n),
    )


def _fit_segment(rows: ReadingTable, number: int) -> SegmentDrift | None:
    if len(rows) == 0:
        return None
    shown = _showings(rows)
    # Without a reference shown twice in one visit no two readings are of the same thing at two times.
    spare = len(shown.time) - int(shown.level.max()) - 1
    if spare < 1:
        return None
    shapes = [Shape(degree) for degree in range(min(MAX_DEGREE, spare) + 1)]
    if spare > 1:
        shapes += [Shape(0, relaxation) for relaxation in RELAXATIONS]
    fitted = [fit for fit in (_fit_shape(shown, shape) for shape in shapes) if fit is not None]
    return _weigh(fitted, shown, number) if fitted else None


def _fit_shape(shown: _Showings, shape: Shape) -> _Fitted | None:
    levels = int(shown.level.max()) + 1
    basis = shape.basis(shown.time, float(shown.time.min()), float(shown.time.max()))
    root = np.sqrt(shown.n)
    design = np.hstack([np.eye(levels)[shown.level], basis]) * root[:, None]
    solution, _, rank, _ = np.linalg.lstsq(design, shown.log_Y * root, rcond=1e-9)
    if rank < design.shape[1] or _runs_away(shape, np.asarray(solution[levels:], np.float64)):
        return None
    left = float(((shown.log_Y * root - design @ solution) ** 2).sum())
    inverse = np.linalg.inv(design.T @ design)[levels:, levels:]
    return _Fitted(
        shape,
        np.asarray(solution[levels:], np.float64),
        np.asarray(inverse, np.float64),
        left,
        len(shown.time) - design.shape[1],
    )


def _runs_away(shape: Shape, coefficients: Real) -> bool:
    """Tell whether a shape leaves what is believable between the reference readings."""
    swing = shape.basis(np.linspace(0.0, 1.0, 41), 0.0, 1.0) @ coefficients
    return bool(np.ptp(swing) > 2 * BELIEVABLE) if len(coefficients) else False


def _weigh(fitted: list[_Fitted], shown: _Showings, number: int) -> SegmentDrift | None:
    # The noise of one reading, from the scatter inside the showings and from what the richest polynomial leaves
    # between them: it is biased least.
    richest = max(fitted, key=lambda fit: fit.shape.degree)
    dof = shown.within_dof + richest.dof
    if dof == 0:
        return None
    variance = max((shown.within + richest.left) / dof, 1e-16)
    scores = np.array([fit.left / variance + fit.shape.price for fit in fitted])
    weights = np.exp(-(scores - scores.min()) / 2)
    weights /= weights.sum()
    start, end = float(shown.time.min()), float(shown.time.max())
    return SegmentDrift(
        segment=number,
        start_s=start,
        end_s=end,
        candidates=tuple(
            Candidate(fit.shape, float(w), fit.coefficients, fit.inverse * variance)
            for w, fit in zip(weights, fitted, strict=True)
        ),
        centre=tuple(shown.n @ fit.shape.basis(shown.time, start, end) / shown.n.sum() for fit in fitted),
        dof=float(dof),
        noise=math.sqrt(variance),
    )
