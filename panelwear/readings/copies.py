"""Checkpoints that hold another one's readings: a folder that was copied, whatever was edited in it afterwards.

Two measurements never agree to the last digit in most of their readings. A copy does: its readings were taken at the
same moments of the monotonic clock; and where those were edited too, its light has the same digits although the meter,
asked twice for one patch, gives other ones. A meter that repeats itself to the last digit proves nothing that way.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import combinations

from panelwear.readings.row import Row

MOST = 0.5
"""Share of the readings of the smaller checkpoint from which on one is a copy of the other."""
LEAST_READINGS = 10
"""Readings, and readings taken again, that must be there before equal light alone tells a copy."""
SELDOM = 0.1
"""Share of readings taken again that may have the digits of the one before; 50 % elsewhere are then no chance."""
SAME_MOMENT_S = 60.0


@dataclass(frozen=True, slots=True)
class Fingerprint:
    """What tells the readings of one checkpoint from all others."""

    name: str
    moments: frozenset[int]
    """One number a reading, from its patch, its light and when it was taken."""
    lights: frozenset[int]
    """Likewise from patch and light alone."""
    varies: bool
    """Whether the meter, asked again for one patch, hardly ever gives the same digits."""
    away_s: float
    """From the begin of the checkpoint, by its record, to its first reading, by its row; ``inf`` where unknown."""


def fingerprint(name: str, started_utc: str, rows: Sequence[Row]) -> Fingerprint:
    """Take the fingerprint of a checkpoint's readings; those without light have none."""
    lit = [row for row in rows if row.Y_cd_m2]
    light = [(row.patch, row.X_cd_m2, row.Y_cd_m2, row.Z_cd_m2) for row in lit]
    again = [now == then for then, now, row in zip(light, light[1:], lit[1:], strict=False) if row.repeat > 1]
    begun, first = _moment(started_utc), _moment(rows[0].time_utc) if rows else None
    return Fingerprint(
        name,
        frozenset(hash((*key, row.monotonic_s, row.settled_s)) for key, row in zip(light, lit, strict=True)),
        frozenset(map(hash, light)),
        len(again) >= LEAST_READINGS and sum(again) <= SELDOM * len(again),
        abs((first - begun).total_seconds()) if begun and first else math.inf,
    )


def copies(checkpoints: Sequence[Fingerprint]) -> Iterator[tuple[str, str]]:
    """Yield each checkpoint that is a copy, with a sentence without its full stop.

    Of two that hold the same readings the one whose record says another day than its readings is the copy; where both
    agree as well, the later one of those given.
    """
    out: set[str] = set()
    for earlier, later in combinations(checkpoints, 2):
        same = 0 if {earlier.name, later.name} & out else _same(earlier, later)
        if not same:
            continue
        is_earlier = earlier.away_s > later.away_s + SAME_MOMENT_S
        copy, source = (earlier, later) if is_earlier else (later, earlier)
        out.add(copy.name)
        count = len(copy.moments)
        how = "its readings are" if same >= count else f"{same} of its {count} readings are"
        yield copy.name, f"{how} those of {source.name} to the last digit: a copy is no measurement of its own"


def _same(one: Fingerprint, other: Fingerprint) -> int:
    """Return how many readings two checkpoints share, where that makes one a copy of the other; else none."""
    of_moment = len(one.moments & other.moments)
    if of_moment and of_moment >= MOST * min(len(one.moments), len(other.moments)):
        return of_moment
    least = min(len(one.lights), len(other.lights))
    of_light = len(one.lights & other.lights)
    is_told = one.varies and other.varies and least >= LEAST_READINGS
    return of_light if is_told and of_light >= MOST * least else 0


def _moment(text: str) -> datetime | None:
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        return None
    return at if at.tzinfo is not None else at.replace(tzinfo=UTC)
