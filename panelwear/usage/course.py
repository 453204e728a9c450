"""The course of a panel's use: its days cut where what was told changes, and what stands for what was not told.

Hours, brightness and what a zone shows are three things, each looked up by itself: what was told of the day; else of
the nearest day before; else of the first day of which it was told at all.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from panelwear.usage.amounts import Amount
from panelwear.usage.records import Stretch
from panelwear.usage.stretches import Laid, Standing, day_number

EVERY_DAY = Amount(7.0, 7.0)


@dataclass(frozen=True, slots=True, eq=False)
class Segment:
    """Days on which one and the same holds."""

    days: float
    told: tuple[Stretch, ...]
    """What was told of them, the uppermost first; none: nothing was."""
    elsewhere: tuple[tuple[Stretch, ...], ...] = field(default=(), repr=False)
    """What was told of other days, in the order in which it stands for what was not told of these."""

    @property
    def layers(self) -> Iterator[Stretch]:
        """Every stretch, the one that comes first standing before those behind it."""
        yield from self.told
        for told in self.elsewhere:
            yield from told

    def hours_told(self) -> Amount | None:
        """Return the hours of use a day, days of rest counted; ``None`` where nobody told them of these days."""
        return _hours_a_day(self.told)

    def hours_taken(self) -> Amount | None:
        """Return the same, of other days where nobody told; ``None`` where they were never told."""
        return next((hours for told in (self.told, *self.elsewhere) if (hours := _hours_a_day(told)) is not None), None)


def _hours_a_day(told: Sequence[Stretch]) -> Amount | None:
    hours = next((s.hours_a_day for s in told if s.hours_a_day is not None), None)
    days = next((s.days_a_week for s in told if s.days_a_week is not None), EVERY_DAY)
    return None if hours is None else Amount(hours.low * days.low / 7, hours.high * days.high / 7)


@dataclass(frozen=True, slots=True)
class Course:
    """All days, cut where what was told changes; the first and the last part have no end."""

    cuts: tuple[float, ...]
    """Days on which something else begins to hold, from minus to plus infinity."""
    told: tuple[tuple[Stretch, ...], ...]
    """What was told of each part, one fewer than cuts; the uppermost first."""

    def between(self, begin: float, end: float) -> tuple[Segment, ...]:
        """Return the segments of the days from ``begin`` until ``end``; none where they are not two days in order."""
        if not begin < end:
            return ()
        parts = enumerate(pairwise(self.cuts))
        return tuple(
            self._segment(i, min(b, end) - max(a, begin)) for i, (a, b) in parts if max(a, begin) < min(b, end)
        )

    def before(self, day: float) -> Segment:
        """Return the one day before a day; where that is no day, one of which nothing is told."""
        parts = self.between(day - 1, day)
        return parts[-1] if parts else Segment(1.0, (), tuple(filter(None, self.told)))

    def back(self, hours: float, day: float) -> float:
        """Return the day from which on so many hours of use came together until ``day``; that day where nobody told."""
        for i, begin in reversed(list(enumerate(self.cuts[:-1]))):
            end = min(self.cuts[i + 1], day)
            if not begin < end:
                continue
            a_day = self._segment(i, 0.0).hours_taken()
            if a_day is None:
                return day
            if a_day.mid > 0 and hours <= (end - begin) * a_day.mid:
                return end - hours / a_day.mid
            if math.isinf(begin):
                return end
            hours -= (end - begin) * a_day.mid
        return day

    def _segment(self, i: int, days: float) -> Segment:
        others = (*reversed(self.told[:i]), *self.told[i + 1 :])
        return Segment(days, self.told[i], tuple(filter(None, others)))


def course_of(stretches: Sequence[Laid]) -> Course:
    """Cut all days where what was told changes."""
    edges = {day for s in stretches for day in (s.begin, s.end)} | {-math.inf, math.inf}
    cuts = sorted(edges)
    over = [tuple(s.stretch for s in reversed(stretches) if s.begin <= a and b <= s.end) for a, b in pairwise(cuts)]
    return Course(tuple(cuts), tuple(over))


def up_to_each(course: Course, ordered: Sequence[Standing]) -> list[tuple[Segment, ...]]:
    """Return the segments up to each checkpoint, since the one before it; the first since the panel was new.

    Between two checkpoints of one day, or whose days are in another order than their hours, holds what held last; a
    checkpoint whose day is not known counts as of the day of the one before it.
    """
    days = [day_number(one.date) for one in ordered]
    edges = [course.back(ordered[0].use.value, days[0]), *days]
    for i, day in enumerate(edges[1:], start=1):
        edges[i] = edges[i - 1] if math.isnan(day) else day
    return [course.between(begin, end) or (course.before(end),) for begin, end in pairwise(edges)]


def hours_between(course: Course, before: Standing, after: Standing) -> Amount | None:
    """Return the hours of use that what was told makes between two checkpoints; ``None`` where a day is not told."""
    parts = course.between(day_number(before.date), day_number(after.date))
    each = [part.hours_told() for part in parts]
    if not parts or any(one is None for one in each):
        return None
    low = sum(part.days * one.low for part, one in zip(parts, each, strict=True) if one is not None)
    high = sum(part.days * one.high for part, one in zip(parts, each, strict=True) if one is not None)
    return Amount(low, high)
