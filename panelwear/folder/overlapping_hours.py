"""Checkpoints whose hours, known within a range, overlap: no fault, but hours alone do not say which was first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from panelwear.folder.hours import HoursOfUse, overlap_told


class Used(Protocol):
    """What must be known of a checkpoint."""

    @property
    def name(self) -> str: ...  # noqa: D102
    @property
    def use(self) -> HoursOfUse: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two checkpoints whose hours overlap, by name."""

    earlier: str
    later: str
    sentence: str
    """Without its full stop."""


def overlapping_hours(checkpoints: Iterable[Used]) -> tuple[Overlap, ...]:
    """Find each checkpoint that overlaps one before it, beside the one of them that may have had most hours."""
    found: list[Overlap] = []
    widest: Used | None = None
    for one in sorted(checkpoints, key=lambda c: (c.use.value, c.name)):
        said = "" if widest is None else overlap_told(widest.use, one.use, widest.name, one.name)
        if widest is not None and said:
            found.append(Overlap(widest.name, one.name, said))
        if widest is None or one.use.high >= widest.use.high:
            widest = one
    return tuple(found)
