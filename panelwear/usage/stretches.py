"""Stretches on the calendar: which of what was told holds on which days, and how many hours of use that makes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Protocol

from panelwear.folder.hours import HoursOfUse
from panelwear.usage.amounts import Amount
from panelwear.usage.records import ALWAYS, Stretch, Usage, day_of

EVERY_DAY = Amount(7.0, 7.0)


class Standing(Protocol):
    """What must be known of a checkpoint."""

    @property
    def name(self) -> str: ...  # noqa: D102
    @property
    def date(self) -> str:
        """Day it was begun, ISO 8601; empty where unknown."""
        ...

    @property
    def use(self) -> HoursOfUse:
        """Hours of use with how they are known."""
        ...


@dataclass(frozen=True, slots=True)
class Laid:
    """A stretch with its days as numbers; infinite where it has no end."""

    stretch: Stretch
    begin: float
    end: float


@dataclass(frozen=True, slots=True)
class Segment:
    """Days on which one and the same holds."""

    days: float
    told: tuple[Stretch, ...]
    """What covers it, the uppermost first."""

    def hours_a_calendar_day(self) -> Amount | None:
        """Return the hours of use a day, days of rest counted; ``None`` where nobody told."""
        hours = next((s.hours_a_day for s in self.told if s.hours_a_day is not None), None)
        days = next((s.days_a_week for s in self.told if s.days_a_week is not None), EVERY_DAY)
        return None if hours is None else Amount(hours.low * days.low / 7, hours.high * days.high / 7)


def day_number(text: str) -> float:
    """Return the number of a day, ``nan`` where it is none."""
    day = day_of(text)
    return math.nan if day is None else float(day.toordinal())


def laid(usage: Usage, checkpoints: Sequence[Standing]) -> tuple[Laid, ...]:
    """Put stretches on the calendar, in their own order; one that names nothing of this panel is left out."""
    days = {c.name: day_number(c.date) for c in checkpoints}

    def number(text: str) -> float:
        own = day_number(text)
        return days.get(text, math.nan) if math.isnan(own) else own

    found = []
    for one in usage.stretches:
        begin = -math.inf if one.since == ALWAYS else number(one.since)
        end = number(one.until) if one.until else math.inf
        if begin < end:
            found.append(Laid(one, begin, end))
    return tuple(found)


def segments(stretches: Sequence[Laid], begin: float, end: float) -> tuple[Segment, ...]:
    """Cut days into segments on which one and the same holds; days that nothing covers are in none."""
    cuts = sorted({begin, end, *(day for s in stretches for day in (s.begin, s.end) if begin < day < end)})
    return tuple(_covered(stretches, cuts))


def _covered(stretches: Sequence[Laid], cuts: Sequence[float]) -> Iterator[Segment]:
    for a, b in pairwise(cuts):
        over = tuple(s.stretch for s in reversed(stretches) if s.begin <= a and b <= s.end)
        if over:
            yield Segment(b - a, over)


def beginning(stretches: Sequence[Laid], first: Standing) -> float:
    """Return the day the panel was new, worked back from its first checkpoint; that day itself where nobody told."""
    day = day_number(first.date)
    covering = segments(stretches, day - 1, day) or segments(stretches, day, day + 1)
    a_day = covering[0].hours_a_calendar_day() if covering else None
    return day if a_day is None or not a_day.mid > 0 else day - first.use.value / a_day.mid


def hours_told(stretches: Sequence[Laid], before: Standing, after: Standing) -> Amount | None:
    """Return the hours of use that what was told makes between two checkpoints; ``None`` where a day is not told."""
    begin, end = day_number(before.date), day_number(after.date)
    if not begin < end:
        return None
    parts = segments(stretches, begin, end)
    each = [part.hours_a_calendar_day() for part in parts]
    if sum(part.days for part in parts) < end - begin or any(one is None for one in each):
        return None
    low = sum(part.days * one.low for part, one in zip(parts, each, strict=True) if one is not None)
    high = sum(part.days * one.high for part, one in zip(parts, each, strict=True) if one is not None)
    return Amount(low, high)


def days_between(before: str, after: str) -> int:
    """Return the days between two days."""
    return (date.fromisoformat(after) - date.fromisoformat(before)).days
