"""What every forecast has in common: when nothing may be said, when only a bound, how limits are rounded and told."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product
from typing import Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from panelwear.telling.words import as_typed

Real = NDArray[np.float64]

LEAST_CHECKPOINTS = 4
LEAST_SPAN_H = 1.0
"""Hours that have to lie between baseline and newest checkpoint."""
LEAST_SIGNAL = 10.0
"""Times its standard uncertainty that a figure must have moved."""
INDICATIVE, FARTHEST = 3.0, 6.0
"""Multiples of the span seen, counted from the baseline; lamp practice extrapolates no farther than six times the test
(IES TM-21)."""
WIDEST = 4.0
"""Upper over lower limit, both counted from the baseline, above which the upper one says nothing."""
LARGEST_MISFIT = 3.0
"""Reduced χ² above which a series is no course of wear."""
STEADY = "as long as wear does not speed up"
"""Under which every limit stands: no law of ``laws.py`` does, beyond what was seen of it."""
UNCUT = " and no further compensation cycle or setting cuts in"
"""Added where one has."""


class AtHours(Protocol):
    """One checkpoint of any figure."""

    @property
    def hours(self) -> float: ...  # noqa: D102
    @property
    def segment(self) -> int: ...  # noqa: D102
    @property
    def hours_u(self) -> float: ...  # noqa: D102


def condition_of(points: Sequence[AtHours]) -> str:
    """Return the condition that limits are said with."""
    return STEADY + (UNCUT if points[-1].segment != points[0].segment else "")


def stretches_of(points: Sequence[AtHours]) -> NDArray[np.int64]:
    """Number the stretches between cuts from 0, one for each checkpoint."""
    cuts = [a.segment != b.segment for a, b in pairwise(points)]
    return np.cumsum([0, *cuts]).astype(np.int64)


def no_series(points: Sequence[AtHours]) -> str:
    """Return why checkpoints make no series to forecast from, whatever the figure, or empty text."""
    n = len(points)
    if n < LEAST_CHECKPOINTS:
        return f"{LEAST_CHECKPOINTS} checkpoints are needed, the baseline among them; there are {n}"
    stretches = int(stretches_of(points)[-1]) + 1
    if n - stretches + 1 < LEAST_CHECKPOINTS:
        needed = LEAST_CHECKPOINTS + stretches - 1
        return (
            f"compensation cycles or other settings cut the {n} checkpoints into {stretches} stretches; "
            f"with so many, {needed} checkpoints are needed"
        )
    if points[-1].hours - points[0].hours < LEAST_SPAN_H:
        return "no hours of use lie between the baseline and the newest checkpoint"
    return ""


def ends_of(point: AtHours) -> tuple[float, float]:
    """Return between what a checkpoint's hours lie: u is half their range over the root of 3 (JCGM 100:2008, 4.3.7)."""
    half = math.sqrt(3) * point.hours_u
    # A whole number of hours stays one.
    return round(max(point.hours - half, 0.0), 6), round(point.hours + half, 6)


def hours_words(low: float, high: float) -> str:
    """Return "4400 h", or "4200 to 4600 h" where they are known between limits."""
    return f"{as_typed(low)} to {as_typed(high)} h" if high > low else f"{as_typed(low)} h"


P = TypeVar("P", bound="AtHours")


def at_ends(points: Sequence[P]) -> list[tuple[P, ...]]:
    """Return a series with baseline and newest checkpoint at the ends of what their hours may be; none where known.

    A course is drawn on from these two, so a range there moves every limit with it, by more than noise would.
    """
    each = [
        [replace(p, hours=h, hours_u=0.0) for h in ends_of(p)] if p.hours_u > 0 else [p]  # type: ignore[type-var]
        for p in (points[0], points[-1])
    ]
    if len(each[0]) + len(each[1]) == 2:
        return []
    return [(a, *points[1:-1], b) for a, b in product(*each) if b.hours - a.hours >= LEAST_SPAN_H]


@dataclass(frozen=True, slots=True)
class Limits:
    """Two limits, neither in the past, and what they are counted from."""

    low_h: float
    high_h: float
    begun_h: float
    """Of the baseline; of a range its middle."""
    now_h: float
    """Of the newest checkpoint, likewise."""
    is_weak: bool = False
    """Whether the figure moved so little that it looks fast or slow by chance: only the lower limit is worth saying."""
    begun_ends_h: tuple[float, float] | None = None
    """Between what the baseline's hours lie; ``None``: they are known."""
    now_ends_h: tuple[float, float] | None = None

    @property
    def span_h(self) -> float:
        """Hours seen."""
        return self.now_h - self.begun_h

    @property
    def spans_h(self) -> tuple[float, float]:
        """The least and the most they can be."""
        begun = self.begun_ends_h or (self.begun_h, self.begun_h)
        now = self.now_ends_h or (self.now_h, self.now_h)
        return max(now[0] - begun[1], 0.0), now[1] - begun[0]

    @property
    def seen(self) -> str:
        """The same in words: "4400 h", "4200 to 4600 h"."""
        return hours_words(*self.spans_h)

    @property
    def kind(self) -> str:
        """What may be said: ``bound``, ``indicative`` or ``interval``."""
        soon, late = self.low_h - self.begun_h, self.high_h - self.begun_h
        far = soon > FARTHEST * self.span_h or late > WIDEST * soon
        if math.isinf(self.high_h) or self.is_weak or far:
            return "bound"
        return "indicative" if late > INDICATIVE * self.span_h else "interval"

    @property
    def bound_h(self) -> float:
        """The lower limit, no farther than may be said."""
        return self.begun_h + min(self.low_h - self.begun_h, FARTHEST * self.spans_h[0])

    @property
    def may_be_now(self) -> bool:
        """Whether the lower limit may be behind already."""
        return self.bound_h <= (self.now_ends_h[1] if self.now_ends_h else self.now_h)

    def first(self, hours: float) -> str:
        """Write a lower limit, rounded down, never into the past."""
        return as_typed(self.printed(hours, math.floor))

    def printed(self, hours: float, towards: Callable[[float], int]) -> float:
        """Return hours as they are written."""
        now = self.now_ends_h[0] if self.now_ends_h else self.now_h
        return max(round(rounded_hours(hours, self.begun_h, towards), 6), now)

    def between(self) -> str:
        """Write "between 7800 and 11000 h of use (95 %)"."""
        word = ", indicative only" if self.kind == "indicative" else ""
        last = as_typed(self.printed(self.high_h, math.ceil))
        return f"between {self.first(self.low_h)} and {last} h of use (95 %{word})"


def widest(each: Sequence[Limits], first: AtHours, last: AtHours) -> Limits:
    """Return the limits of a series whose ends are known within ranges.

    "Not before" is said for whatever the hours are, so it is the earliest at any end of the ranges. The upper limit has
    them in it as uncertainty: it holds as often as stated, and at the far ends none would be left to say.

    Args:
        each: for the middle of all ranges, then for their ends.
        first: the baseline.
        last: the newest checkpoint.
    """
    begun, now = (ends_of(p) if p.hours_u > 0 else None for p in (first, last))
    low, high = min(one.low_h for one in each), max(each[0].high_h, now[1] if now else 0.0)
    return replace(each[0], low_h=low, high_h=high, begun_ends_h=begun, now_ends_h=now)


def rounded_hours(hours: float, begun: float, towards: Callable[[float], int]) -> float:
    """Round hours of use to two digits of the time since the baseline, which is what the limit is known of."""
    since = hours - begun
    step = 10.0 ** (math.floor(math.log10(since)) - 1) if since > 0 else 1.0
    # A limit that is a round number already must not slip by a whole step.
    slack = 1e-9 if towards is math.floor else -1e-9
    return towards(hours / step + slack) * step
