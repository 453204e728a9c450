"""What was shown, showing by showing, over a whole table: drift is worked out once for each, however often read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.panel.showings import Showings, showings_of
from panelwear.readings.table import ReadingTable

Real = NDArray[np.float64]
Whole = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Timeline:
    """The showings of a table, numbered from 0 through all its segments."""

    number: NDArray[np.intp]
    """Which of them each row belongs to."""
    segments: Mapping[int, tuple[Showings, slice]]
    """By segment: its showings, and their numbers."""

    def __len__(self) -> int:
        return sum(len(shown) for shown, _ in self.segments.values())


def timeline_of(table: ReadingTable) -> Timeline:
    """Gather the showings of a table, segment by segment."""
    number, found = np.zeros(len(table), dtype=np.intp), {}
    names, begin = names_of(table), 0
    for segment in np.unique(table.segment).tolist():
        rows = np.flatnonzero(table.segment == segment)
        shown, _ = showings_of(table.monotonic_s[rows], names[rows])
        found[segment] = (shown, slice(begin, begin + len(shown)))
        number[rows] = begin + shown.number
        begin += len(shown)
    return Timeline(number, found)


def names_of(table: ReadingTable) -> Whole:
    """Number the showings of a table by step, placement and patch; rows of one number are shown alike."""
    named = table.patch.codes.astype(np.int64)
    for column in (table.step, table.visit):
        values, place = np.unique(column, return_inverse=True)
        named = named * max(len(values), 1) + place.reshape(-1)
    return named


@dataclass(frozen=True, slots=True, eq=False)
class DriftFactor:
    """How each independent deviate of the drift fits would move ln X, ln Y, ln Z of each row of a table."""

    number: NDArray[np.intp]
    """Showing of each row, ``(n,)``."""
    of_showings: Real
    """``(showings, 3, r)``: the same for all readings of one showing."""

    def __len__(self) -> int:
        return len(self.number)

    @property
    def deviates(self) -> int:
        """How many there are."""
        return int(self.of_showings.shape[2])

    def where(self, keep: NDArray[np.bool_]) -> DriftFactor:
        """Keep the rows where ``keep`` is true."""
        return DriftFactor(self.number[keep], self.of_showings)

    def means(self, rows: NDArray[np.intp], group: Whole, sizes: Whole) -> Real:
        """Return how they would move the mean of each of some groups of rows, ``(groups, 3, r)``.

        Args:
            rows: of all groups behind each other.
            group: number of each one's group, ascending from 0.
            sizes: rows of each group.
        """
        of, showing, count = shared_out(group, self.number[rows])
        moved = self.of_showings[showing] * (count / sizes[of])[:, None, None]
        return np.asarray(np.add.reduceat(moved, np.flatnonzero(np.diff(of, prepend=-1))))


def shared_out(group: Whole, number: Whole) -> tuple[Whole, Whole, Whole]:
    """Count how often each number is in each group: group and number, ascending, and how often."""
    numbers = int(number.max()) + 1
    both, count = np.unique(group * numbers + number, return_counts=True)
    return *np.divmod(both, numbers), count


def still(rows: int, deviates: int) -> DriftFactor:
    """Return the factor of rows that no drift moves."""
    return DriftFactor(np.zeros(rows, dtype=np.intp), np.zeros((1, 3, deviates)))
