"""Drift inside a session, taken out by what was shown more than once: the reference patches, where there are any.

Model and estimation: ``slow_noise``. One fit a segment: time and drift do not reach across an interruption. Readings
stay as they are; ``corrected`` gives new ones. X and Z follow Y here; what they do besides is ``tint_drift``'s.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from panelwear.panel.showings import Showings, showings_of
from panelwear.panel.slow_noise import Belief, Seat, Shown, believed, weigh
from panelwear.panel.timeline import Timeline, names_of, timeline_of
from panelwear.readings.labels import grouped
from panelwear.readings.table import ReadingTable

Real = NDArray[np.float64]
Whole = NDArray[np.int64]

BELIEVABLE = 0.2
"""Largest ln ratio a warmed-up panel can drift by in one session; a reference reading further off is a mishap."""
ASSUMED_SEAT = Seat(0.001)
"""Where nothing better is known (common practice, no source)."""
LEAST_CD_M2 = 0.5
"""Darker patches tell more of the probe's noise than of drift, colour or placement."""
MOST_SHOWINGS = 160
"""More do not make a fit better, only slower."""
_CRUMB = 1e-12
"""Variance, as share of the largest, below which a direction of the covariance is numerical noise."""


@dataclass(frozen=True, slots=True, eq=False)
class SegmentDrift:
    """s(t) of one segment, drift with slow noise, as ln of a factor on luminance."""

    segment: int
    start_s: float
    end_s: float
    shown: Shown
    beliefs: tuple[Belief, ...]
    dof: float

    @property
    def noise(self) -> float:
        """Standard deviation of ln Y of one reading, from the next reading of the same showing."""
        return math.sqrt(sum(b.weight * b.settings.white**2 for b in self.beliefs))

    @property
    def slow(self) -> float:
        """Standard deviation of the slow noise, as ln."""
        return math.sqrt(sum(b.weight * b.settings.slow**2 for b in self.beliefs))

    def log_drift(self, times_s: Real) -> Real:
        """Return s at times in seconds, ``(n,)``, of readings that stand alone."""
        return self._at(_alone(times_s))[0]

    def covariance(self, times_s: Real) -> Real:
        """Return the covariance of s at times in seconds, ``(n, n)``, of readings that stand alone."""
        return self._at(_alone(times_s))[1]

    def over_all(self) -> tuple[float, float, float]:
        """Return s at the last showing less s at the first, its standard uncertainty and degrees of freedom."""
        ends, step = np.array([self.start_s, self.end_s]), np.array([-1.0, 1.0])
        mean, covariance = self._at(_alone(ends))
        return float(step @ mean), math.sqrt(max(float(step @ covariance @ step), 0.0)), self.dof

    def of_showings(self, asked: Showings) -> tuple[Real, Real]:
        """Return s of the mean of each showing ``(m,)``, and F ``(m, r)`` with F Fᵀ its covariance."""
        mean, covariance = self._at(asked)
        size, axes = np.linalg.eigh(covariance)
        kept = size > _CRUMB * max(float(size[-1]), 0.0)
        return mean, np.asarray(axes[:, kept] * np.sqrt(size[kept]))

    def _at(self, asked: Showings) -> tuple[Real, Real]:
        return believed(self.beliefs, self.shown, asked)


def _alone(times_s: Real) -> Showings:
    times = np.asarray(times_s, dtype=np.float64)
    return Showings(times, np.arange(len(times)), np.ones(len(times)), times)


@dataclass(frozen=True, slots=True, eq=False)
class Drift:
    """The drift of a session, segment by segment; a segment where nothing was shown twice has none."""

    segments: tuple[SegmentDrift, ...]

    @property
    def longest(self) -> SegmentDrift | None:
        """The fit that reaches over the longest time, or ``None`` without any."""
        return max(self.segments, key=lambda fit: fit.end_s - fit.start_s, default=None)

    def of(self, segment: int) -> SegmentDrift | None:
        """Return the fit of a segment, or ``None``."""
        return next((s for s in self.segments if s.segment == segment), None)

    def in_showings(self, timeline: Timeline) -> tuple[Real, Real]:
        """Return s for every showing ``(m,)``, 0 where there is no fit, and F ``(m, r)`` with F Fᵀ its covariance.

        Segments share no column.
        """
        found, blocks = np.zeros(len(timeline)), []
        for fit in self.segments:
            if fit.segment not in timeline.segments:
                continue
            asked, numbers = timeline.segments[fit.segment]
            mean, factor = fit.of_showings(asked)
            found[numbers] = mean
            block = np.zeros((len(timeline), factor.shape[1]))
            block[numbers] = factor
            blocks.append(block)
        return found, np.hstack(blocks) if blocks else np.zeros((len(timeline), 0))

    def in_table(self, table: ReadingTable) -> tuple[Real, Real]:
        """Return s for every row ``(n,)``, and F ``(n, r)``; the readings of one showing share one value."""
        timeline = timeline_of(table)
        mean, factor = self.in_showings(timeline)
        return mean[timeline.number], factor[timeline.number]

    def log_drift(self, table: ReadingTable) -> Real:
        """Return s for every row, 0 where there is no fit."""
        return self.in_table(table)[0]

    def u(self, table: ReadingTable) -> Real:
        """Return the standard uncertainty of s for every row, as a share of luminance."""
        return np.asarray(np.linalg.norm(self.in_table(table)[1], axis=1), dtype=np.float64)

    def corrected(self, table: ReadingTable) -> ReadingTable:
        """Return the table with X, Y and Z divided by the drift factor; the given table stays as it is."""
        factor = np.exp(-self.log_drift(table))
        return replace(table, X=table.X * factor, Y=table.Y * factor, Z=table.Z * factor)


def fit_drift(table: ReadingTable, seat: Seat = ASSUMED_SEAT) -> Drift:
    """Fit the drift through the usable readings with the purpose ``reference`` of what was shown more than once.

    Args:
        table: readings of one session or several.
        seat: what is known of the placements beforehand.
    """
    rows = table.usable()
    rows = rows.where(rows.Y > 0)
    fits = (_fit_segment(rows.where(rows.segment == number), int(number), seat) for number in np.unique(rows.segment))
    return Drift(tuple(fit for fit in fits if fit is not None))


def _fit_segment(rows: ReadingTable, number: int, seat: Seat) -> SegmentDrift | None:
    shown = _shown_again(_without_mishaps(rows.where(rows.purpose == "reference")))
    if shown is None:
        return None
    middle = shown.showings.middle_s
    dof = shown.within_dof + len(middle) - int(shown.level.max()) - 1
    return SegmentDrift(number, float(middle.min()), float(middle.max()), shown, weigh(shown, seat), float(dof))


def _without_mishaps(rows: ReadingTable) -> ReadingTable:
    """Leave readings out that lie far off the median of their patch's visit: a hand over the probe, a lost patch."""
    keep = np.ones(len(rows), dtype=bool)
    visits, visit = np.unique(rows.visit, return_inverse=True)
    level = rows.patch.codes.astype(np.int64) * max(len(visits), 1) + visit.reshape(-1)
    log_Y = np.log(rows.Y)
    for mine in grouped(level):
        keep[mine] = np.abs(log_Y[mine] - np.median(log_Y[mine])) <= BELIEVABLE
    return rows.where(keep)


def _shown_again(rows: ReadingTable) -> Shown | None:
    """Average each showing of a patch that was shown more than once; ``None`` where there is none."""
    showings, first = showings_of(rows.monotonic_s, names_of(rows))
    _, level, count = np.unique(_levels(rows)[first], return_inverse=True, return_counts=True)
    again = np.flatnonzero(count[level] > 1)[:MOST_SHOWINGS]
    if not len(again):
        return None
    rows = rows.where(np.isin(showings.number, again))
    showings, first = showings_of(rows.monotonic_s, names_of(rows))
    log_Y = np.log(rows.Y)
    mean = showings.mean(log_Y)
    return Shown(
        showings=showings,
        log_Y=mean,
        level=np.unique(_levels(rows)[first], return_inverse=True)[1],
        visit=np.unique(rows.visit[first], return_inverse=True)[1],
        within=float(((log_Y - mean[showings.number]) ** 2).sum()),
        within_dof=len(rows) - len(showings),
    )


def _levels(rows: ReadingTable) -> Whole:
    """Number what has a light of its own, a patch at a place, in the order of the alphabet."""
    return rows.place.beside(rows.patch, "|").ranks()
