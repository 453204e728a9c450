"""What became of tries under a fault, and the judges of it: pure functions of what was there before and after."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields

from panelwear.errors import OWN_FAULT
from panelwear.readings.row import Row

ASKED = ("visit", "pair", "step", "patch", "purpose", "place", "pattern", "red", "green", "blue", "lit_share",
         "geometry_sha256", "frame_sha256")  # fmt: skip
"""What a row says it is a reading of."""
BELIEVED = ("ok", "retried")
"""Flags of rows that enter figures."""


@dataclass(frozen=True, slots=True)
class Counts:
    """What became of some tries; ``None``: this row judges nothing of the kind."""

    tries: int = 0
    lost: int | None = None
    """Readings that were stored, or owed, and are not there."""
    mispaired: int | None = None
    """Readings believed that hold another patch's light."""
    overwritten: int | None = None
    """Files of other people, or of sealed checkpoints, that are not as they were."""
    stuck: int | None = None
    """Tries that did not end in time, or from which the program itself found no way on."""
    tracebacks: int | None = None
    """Faults of the program itself in place of a sentence."""
    dazzling: int | None = None
    """Tries with more than three flashes in a second."""

    def __add__(self, other: Counts) -> Counts:
        """Add up; what neither judged stays unjudged."""
        return Counts(*(_sum(getattr(self, f.name), getattr(other, f.name)) for f in fields(Counts)))

    @property
    def wrong(self) -> int:
        """How much of what was judged is wrong."""
        return sum(getattr(self, f.name) or 0 for f in fields(Counts) if f.name != "tries")


def _sum(one: int | None, other: int | None) -> int | None:
    return other if one is None else one if other is None else one + other


def lines_lost(owed: Iterable[bytes], files: Iterable[bytes]) -> int:
    """Count the lines that were stored once and stand in none of the files any more.

    Args:
        owed: whole lines of ``readings.csv``.
        files: bytes of every file that may hold them now.
    """
    there = Counter(line for data in files for line in data.splitlines(keepends=True))
    return sum((Counter(owed) - there).values())


def readings_missing(rows: Sequence[Row], whole: Sequence[Row]) -> int:
    """Count the readings of an undisturbed run that a disturbed and resumed one has not, in their number and kind."""
    return sum((_asked_of(whole) - _asked_of([row for row in rows if "disturbed" not in row.flags])).values())


def _asked_of(rows: Sequence[Row]) -> Counter[tuple[object, ...]]:
    return Counter(tuple(getattr(row, name) for name in ASKED) for row in rows)


def grey_mispaired(rows: Iterable[Row]) -> int:
    """Count rows with another light than their patch's, where a plain grey of code c reads c cd/m²."""
    return sum(
        row.Y_cd_m2 is not None and row.red is not None and abs(row.Y_cd_m2 - row.red) > 0.51
        for row in rows
        if row.flags in BELIEVED
    )


def files_changed(before: Mapping[str, bytes], after: Mapping[str, bytes]) -> int:
    """Count the files that are gone or hold other bytes; new ones are not counted."""
    return sum(after.get(name) != data for name, data in before.items())


def is_traceback(code: int, said: str) -> bool:
    """Tell whether a command ended in a fault of the program itself, or showed Python's own words."""
    return code == OWN_FAULT or "Traceback (most recent call last)" in said or bool(re.search(r"^X Error", said, re.M))


TITLES = ("tries", "lost", "mispaired", "overwritten", "stuck", "tracebacks", "dazzling")


HEAD = f"{'what':<46}" + "".join(f"{title:>12}" for title in TITLES)


def line(what: str, counts: Counts) -> str:
    """Lay a row of the table out; a dash stands where nothing of the kind was judged."""
    cells = (getattr(counts, title) for title in TITLES)
    return f"{what:<46}" + "".join(f"{'-' if cell is None else cell:>12}" for cell in cells)
