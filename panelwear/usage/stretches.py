"""Stretches on the calendar: from which day until which each of them holds."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from panelwear.folder.hours import HoursOfUse
from panelwear.usage.records import ALWAYS, Stretch, Usage, day_meant, day_of


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


def day_number(text: str) -> float:
    """Return the number of a day, ``nan`` where it is none."""
    day = day_of(text)
    return math.nan if day is None else float(day.toordinal())


def laid(usage: Usage, checkpoints: Sequence[Standing]) -> tuple[Laid, ...]:
    """Put stretches on the calendar, in their own order; one that names nothing of this panel is left out."""
    days = {c.name: c.date for c in checkpoints}

    def number(text: str) -> float:
        day = day_meant(text, days)
        return math.nan if day is None else float(day.toordinal())

    found = []
    for one in usage.stretches:
        begin = -math.inf if one.since == ALWAYS else number(one.since)
        end = number(one.until) if one.until else math.inf
        if begin < end:
            found.append(Laid(one, begin, end))
    return tuple(found)
