"""Checkpoints whose hours fall while their dates rise: which is wrong cannot be known, so no rate rests on them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Protocol

from panelwear.folder.hours import HoursOfUse, hours_told


class Dated(Protocol):
    """What must be known of a checkpoint."""

    @property
    def name(self) -> str: ...  # noqa: D102
    @property
    def hours(self) -> float: ...  # noqa: D102
    @property
    def date(self) -> str:
        """Day it was begun, ISO 8601; empty where unknown."""
        ...

    @property
    def use(self) -> HoursOfUse:
        """Its hours with what they are known within."""
        ...


@dataclass(frozen=True, slots=True)
class Fall:
    """Two checkpoints, the later of which has fewer hours."""

    earlier: str
    later: str
    sentence: str
    """Without its full stop."""


def falling_hours(checkpoints: Iterable[Dated]) -> tuple[Fall, ...]:
    """Find each checkpoint that has fewer hours than one of an earlier day, beside the one of them with most hours."""
    found: list[Fall] = []
    most: Dated | None = None
    # Two of one day have no order.
    for one in sorted((c for c in checkpoints if _is_day(c.date)), key=lambda c: (c.date, c.hours)):
        if most is None or one.hours >= most.hours:
            most = one
        elif one.date > most.date:
            found.append(Fall(most.name, one.name, _sentence(most, one)))
    return tuple(found)


def _sentence(earlier: Dated, later: Dated) -> str:
    if later.use.high > earlier.use.low and (earlier.use.is_range or later.use.is_range):
        return (
            f"{later.name} was begun after {earlier.name} ({later.date}, {earlier.date}) but the middle of its hours "
            f"lies below ({later.use.words}, {earlier.use.words}): the ranges overlap, so which was first cannot be "
            "told from hours; 'panelwear amend' takes narrower ones"
        )
    return (
        f"{later.name} was begun after {earlier.name} ({later.date}, {earlier.date}) but has fewer hours of use "
        f"({hours_told(later.hours)} h, {hours_told(earlier.hours)} h): hours only rise, so one of the two was "
        "mistyped or the panel's counter was reset; 'panelwear amend' corrects it"
    )


def _is_day(text: str) -> bool:
    try:
        return bool(date.fromisoformat(text))
    except ValueError:  # none, or one that was written by hand
        return False
