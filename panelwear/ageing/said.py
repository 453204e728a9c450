"""What every forecast has in common: when nothing may be said, when only a bound, how limits are rounded and told."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]

LEAST_CHECKPOINTS = 4
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
    if points[-1].hours <= points[0].hours:
        return "no hours of use lie between the baseline and the newest checkpoint"
    return ""


@dataclass(frozen=True, slots=True)
class Limits:
    """Two limits, and what they are counted from."""

    low_h: float
    high_h: float
    begun_h: float
    """Of the baseline."""
    now_h: float
    """Of the newest checkpoint."""
    is_past: bool = False
    """Whether the threshold is reached already."""
    is_weak: bool = False
    """Whether the figure moved so little that it looks fast or slow by chance: only the lower limit is worth saying."""

    @property
    def span_h(self) -> float:
        """Hours seen."""
        return self.now_h - self.begun_h

    @property
    def kind(self) -> str:
        """What may be said: ``bound``, ``indicative`` or ``interval``."""
        soon, late = self.low_h - self.begun_h, self.high_h - self.begun_h
        far = soon > FARTHEST * self.span_h or late > WIDEST * soon
        if math.isinf(self.high_h) or (not self.is_past and (self.is_weak or far)):
            return "bound"
        return "indicative" if late > INDICATIVE * self.span_h else "interval"

    @property
    def bound_h(self) -> float:
        """The lower limit, no farther than may be said."""
        return self.begun_h + min(self.low_h - self.begun_h, FARTHEST * self.span_h)

    def first(self, hours: float) -> str:
        """Write a lower limit, rounded down, never into the past."""
        down = rounded_hours(hours, self.begun_h, math.floor)
        return f"{down if self.is_past else max(down, self.now_h):.0f}"

    def between(self) -> str:
        """Write "between 7800 and 11000 h of use (95 %)"."""
        word = ", indicative only" if self.kind == "indicative" else ""
        last = rounded_hours(self.high_h, self.begun_h, math.ceil)
        return f"between {self.first(self.low_h)} and {last:.0f} h of use (95 %{word})"


def rounded_hours(hours: float, begun: float, towards: Callable[[float], int]) -> float:
    """Round hours of use to two digits of the time since the baseline, which is what the limit is known of."""
    since = hours - begun
    step = 10.0 ** (math.floor(math.log10(since)) - 1) if since > 0 else 1.0
    # A limit that is a round number already must not slip by a whole step.
    slack = 1e-9 if towards is math.floor else -1e-9
    return towards(hours / step + slack) * step
