"""Moments in ISO 8601 as seconds since 1970-01-01 UTC, one by one or a column at once; both give the same number."""

from __future__ import annotations

import math
from datetime import UTC, datetime
from typing import Any

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]
Bytes = NDArray[np.uint8]

_FORM = b"dddd-dd-ddTdd:dd:dd.dddZ"
_PARTS = ((0, 4), (5, 7), (8, 10), (11, 13), (14, 16), (17, 19), (20, 23))
_DIGITS = np.frombuffer(_FORM, np.uint8) == ord("d")
LENGTH = len(_FORM)
"""Characters of a moment as the program writes it."""


def since_1970(told: str) -> float:
    """Return the seconds of one moment; ``nan`` where it is none. Without a zone it is UTC."""
    try:
        read = datetime.fromisoformat(told)
    except ValueError:
        return math.nan
    return (read if read.tzinfo is not None else read.replace(tzinfo=UTC)).timestamp()


def usual_form(cells: Bytes) -> tuple[Real, NDArray[np.bool_]]:
    """Read moments in the form the program itself writes, ``2026-01-05T18:00:34.100Z``.

    Args:
        cells: their characters, ``(n, LENGTH)``.

    Returns:
        Their seconds ``(n,)``, and which of them are moments in that form.
    """
    digits = (cells[:, _DIGITS] - np.uint8(48)) < 10
    fits = digits.all(axis=1) & (cells[:, ~_DIGITS] == np.frombuffer(_FORM, np.uint8)[~_DIGITS]).all(axis=1)
    year, month, day, hour, minute, second, ms = (_number(cells[:, a:b]) for a, b in _PARTS)
    fits &= (year > 0) & (month > 0) & (month < 13) & (day > 0) & (day < 32)
    fits &= (hour < 24) & (minute < 60) & (second < 60)
    months = 12 * (year - 1970) + np.where(fits, month, 1) - 1
    first = months.astype("M8[M]")
    date = first.astype("M8[D]") + (np.where(fits, day, 1) - 1)
    fits &= date.astype("M8[M]") == first  # else the month has no such day
    seconds = ((date.astype(np.int64) * 24 + hour) * 60 + minute) * 60 + second
    whole_us = seconds * 1_000_000 + ms * 1000
    # As datetime has it: whole microseconds, divided once; exact as long as a float holds the microseconds, until 2255.
    return np.asarray(whole_us / 1_000_000, dtype=np.float64), fits & (np.abs(whole_us) <= 2**53)


def _number(cells: Bytes) -> NDArray[Any]:
    found = np.zeros(len(cells), dtype=np.int64)
    for column in cells.T:
        found = found * 10 + (column.astype(np.int64) - 48)
    return found
