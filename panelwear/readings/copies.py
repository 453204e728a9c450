"""Checkpoints that hold another one's readings: a folder that was copied, whatever was edited in it afterwards.

Two measurements never agree to the last digit in most of their readings. A copy does: its readings were taken at the
same moments of the monotonic clock; and where those were edited too, its light has the same digits although the meter,
asked twice for one patch, gives other ones. A meter that repeats itself to the last digit proves nothing that way.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from hashlib import blake2b
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from panelwear.readings.by_column import ByColumn
from panelwear.readings.instants import since_1970

Numbers = NDArray[np.uint64]

MOST = 0.5
"""Share of the readings of the smaller checkpoint from which on one is a copy of the other."""
LEAST_READINGS = 10
"""Readings, and readings taken again, that must be there before equal light alone tells a copy."""
SELDOM = 0.1
"""Share of readings taken again that may have the digits of the one before; 50 % elsewhere are then no chance."""
SAME_MOMENT_S = 60.0


@dataclass(frozen=True, slots=True, eq=False)
class Fingerprint:
    """What tells the readings of one checkpoint from all others."""

    name: str
    moments: Numbers
    """One number a reading, none twice, from its patch, its light and when it was taken."""
    lights: Numbers
    """Likewise from patch and light alone."""
    varies: bool
    """Whether the meter, asked again for one patch, hardly ever gives the same digits."""
    away_s: float
    """From the begin of the checkpoint, by its record, to its first reading, by its row; ``inf`` where unknown."""


def fingerprint(name: str, started_utc: str, rows: ByColumn) -> Fingerprint:
    """Take the fingerprint of a checkpoint's readings; those without light have none."""
    held, Y = rows.numbers, rows.numbers["Y_cd_m2"]
    light = _mixed(_of_patches(rows), *(held[channel] for channel in ("X_cd_m2", "Y_cd_m2", "Z_cd_m2")))
    moment = _mixed(light, held["monotonic_s"], held["settled_s"])
    lit = np.isfinite(Y) & (Y != 0)
    alike = light[lit][1:] == light[lit][:-1]
    again = alike[held["repeat"][lit][1:] > 1]
    begun, first = since_1970(started_utc), float(held["time_utc"][0]) if len(rows) else math.nan
    away_s = abs(first - begun)
    return Fingerprint(
        name,
        np.unique(moment[lit]),
        np.unique(light[lit]),
        len(again) >= LEAST_READINGS and int(again.sum()) <= SELDOM * len(again),
        away_s if math.isfinite(away_s) else math.inf,
    )


def _of_patches(rows: ByColumn) -> Numbers:
    """Return a number for the patch of each row, the same for one name in every file."""
    patch = rows.texts["patch"]
    words = [int.from_bytes(blake2b(word.encode(), digest_size=8).digest()) for word in patch.words]
    return np.array(words or [0], dtype=np.uint64)[patch.codes]


def _mixed(numbers: Numbers, *columns: NDArray[np.float64]) -> Numbers:
    """Mix columns into one number a row, so that rows that differ in a digit differ in it (Steele's SplitMix64)."""
    for column in columns:
        bits = np.where(np.isnan(column), 0.0, column + 0.0).astype(np.float64).view(np.uint64)
        mixed = (numbers ^ bits) + np.uint64(0x9E3779B97F4A7C15)
        mixed = (mixed ^ (mixed >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        mixed = (mixed ^ (mixed >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        numbers = mixed ^ (mixed >> np.uint64(31))
    return numbers


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
    of_moment = _shared(one.moments, other.moments)
    if of_moment and of_moment >= MOST * min(len(one.moments), len(other.moments)):
        return of_moment
    least = min(len(one.lights), len(other.lights))
    of_light = _shared(one.lights, other.lights)
    is_told = one.varies and other.varies and least >= LEAST_READINGS
    return of_light if is_told and of_light >= MOST * least else 0


def _shared(one: Numbers, other: Numbers) -> int:
    return len(np.intersect1d(one, other, assume_unique=True))
