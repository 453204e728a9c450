"""Readings gathered by showing, and how alike slow noise makes two showings.

Slow noise is taken for a stationary first-order process: two readings ``dt`` apart share ``exp(-|dt| / tau)`` of its
variance (Ornstein-Uhlenbeck; Gardiner, Handbook of Stochastic Methods, 3.8.4). A showing is the mean of readings at
several times, so what two showings share is averaged over all pairs of their readings, exactly.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import accumulate
from typing import Any

import numpy as np
from numpy.typing import NDArray

from groundwork.once import once

Real = NDArray[np.float64]
Whole = NDArray[np.intp]

_MANY = 64
"""Readings of one showing up to which every pair of them is written out."""
_FAR = 50.0
"""Time constants beyond which nothing is shared; keeps the exponentials finite."""


@dataclass(frozen=True, slots=True, eq=False)
class Showings:
    """Times of the readings of each showing; no showing begins before the one before it has ended."""

    times_s: Real
    """One entry a reading."""
    number: Whole
    """Which showing each reading belongs to, from 0."""
    n: Real
    """Readings of each showing."""
    middle_s: Real
    """Mean time of each."""
    memo: dict[Any, Any] = field(default_factory=dict, init=False, repr=False)
    """What was worked out from these very showings, so that it is worked out once."""

    def __len__(self) -> int:
        return len(self.n)

    def mean(self, values: Real) -> Real:
        """Average one value a reading over each showing."""
        return np.asarray(np.bincount(self.number, values, len(self)) / self.n)

    def own(self, tau_s: float) -> Real:
        """Return the share of the noise's variance the mean of each showing keeps, ``(k,)``."""
        return once(self.memo, ("own", tau_s), lambda: self._own(tau_s))

    def _own(self, tau_s: float) -> Real:
        kept = np.ones(len(self))
        order = np.argsort(self.number, kind="stable")
        ends = np.cumsum(self.n).astype(np.intp)
        many = self.n > _MANY
        if many.any():
            kept[many] = self._of_many(many, tau_s)
        for size in np.unique(self.n[(self.n > 1) & ~many]).astype(np.intp).tolist():
            which = np.flatnonzero(self.n == size)
            t = self.times_s[order[ends[which, None] - size + np.arange(size)]]
            kept[which] = np.exp(-np.abs(t[:, :, None] - t[:, None, :]) / tau_s).mean(axis=(1, 2))
        return kept

    def _of_many(self, which: NDArray[np.bool_], tau_s: float) -> Real:
        """The same for long showings, in the order of time: what each reading shares with all before it."""
        rows = np.flatnonzero(which[self.number])
        rows = rows[np.lexsort((self.times_s[rows], self.number[rows]))]
        number, t = self.number[rows], self.times_s[rows]
        nearer = np.zeros(len(rows))
        nearer[1:] = np.where(number[1:] == number[:-1], np.exp(-np.diff(t).clip(0) / tau_s), 0.0)
        before = np.fromiter(
            accumulate(nearer.tolist(), lambda so_far, like: like * (so_far + 1)), np.float64, len(rows)
        )
        pairs = np.bincount(number, before, len(self))[which]
        return np.asarray((self.n[which] + 2 * pairs) / self.n[which] ** 2)

    def is_long(self, tau_s: float) -> bool:
        """Tell whether a showing lasts so long that exponentials from its middle to its ends would not stay finite."""
        away_s = once(self.memo, "away", lambda: np.abs(self.times_s - self.middle_s[self.number]).max(initial=0.0))
        return bool(away_s > _FAR * tau_s)

    def ends(self, tau_s: float) -> tuple[Real, Real, Real, Real]:
        """Return when each begins and ends, and what its readings share on average with its begin and with its end."""
        order = np.lexsort((self.times_s, self.number))
        after = np.cumsum(self.n).astype(np.intp)
        begin, end = self.times_s[order[after - self.n.astype(np.intp)]], self.times_s[order[after - 1]]
        with_begin = self.mean(np.exp(-(self.times_s - begin[self.number]) / tau_s))
        return begin, end, with_begin, self.mean(np.exp(-(end[self.number] - self.times_s) / tau_s))

    def weights(self, tau_s: float) -> tuple[Real, Real]:
        """Return what the readings of each share on average with its middle, seen from after it and from before."""
        return once(self.memo, ("weights", tau_s), lambda: self._weights(tau_s))

    def _weights(self, tau_s: float) -> tuple[Real, Real]:
        away = np.clip((self.times_s - self.middle_s[self.number]) / tau_s, -_FAR, _FAR)
        return self.mean(np.exp(away)), self.mean(np.exp(-away))


def showings_of(times_s: Real, names: NDArray[np.int64]) -> tuple[Showings, Whole]:
    """Gather readings, in the order of time: a showing ends where the next reading bears another name.

    Returns:
        The showings, and the first reading of each.
    """
    order = np.argsort(times_s, kind="stable")
    begins = np.ones(len(order), dtype=bool)
    begins[1:] = names[order][1:] != names[order][:-1]
    number = np.empty(len(order), dtype=np.intp)
    number[order] = np.cumsum(begins) - 1
    n = np.bincount(number).astype(np.float64)
    return Showings(times_s, number, n, np.bincount(number, times_s) / n), order[begins]


def shared(a: Showings, b: Showings, tau_s: float) -> Real:
    """Return the share of the noise's variance the means of two lots of showings have in common, ``(len a, len b)``.

    Of a lot with itself it is worked out once.
    """
    return once(a.memo, ("shared", tau_s), lambda: _shared(a, b, tau_s)) if a is b else _shared(a, b, tau_s)


def _shared(a: Showings, b: Showings, tau_s: float) -> Real:
    apart = (b.middle_s - a.middle_s[:, None]) / tau_s
    if a.is_long(tau_s) or b.is_long(tau_s):
        found = _shared_by_ends(a, b, tau_s, apart > 0)
    else:
        (up_a, down_a), (up_b, down_b) = a.weights(tau_s), b.weights(tau_s)
        product = np.where(apart > 0, up_a[:, None] * down_b, down_a[:, None] * up_b)
        found = np.exp(-np.minimum(np.abs(apart), _FAR)) * product
    same = np.abs(apart) * tau_s < 1e-9
    if same.any():
        found[same] = np.broadcast_to(a.own(tau_s)[:, None], found.shape)[same]
    return np.asarray(found)


def _shared_by_ends(a: Showings, b: Showings, tau_s: float, b_later: NDArray[np.bool_]) -> Real:
    """Return the same for showings of any length, by way of the end of the earlier and the begin of the later one."""
    (begin_a, end_a, first_a, last_a), (begin_b, end_b, first_b, last_b) = a.ends(tau_s), b.ends(tau_s)
    gap = np.where(b_later, begin_b - end_a[:, None], begin_a[:, None] - end_b).clip(0)
    product = np.where(b_later, last_a[:, None] * first_b, first_a[:, None] * last_b)
    return np.asarray(np.exp(-gap / tau_s) * product)
