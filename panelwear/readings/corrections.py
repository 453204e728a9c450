"""Rows that replace others: the file only grows, so a correction is a row whose flag names what it stands for."""

from __future__ import annotations

from collections.abc import Iterable

REPLACES = "replaces="
"""Beginning of the flag; behind it the numbers of the rows that are replaced: ``replaces=41`` or ``replaces=41+42``."""


def replaces(rows: Iterable[int]) -> str:
    """Write the flag of a row that stands in the place of others; empty for none."""
    numbers = "+".join(str(number) for number in rows)
    return f"{REPLACES}{numbers}" if numbers else ""


def is_replacing(flag: str) -> bool:
    """Tell whether one flag is such a flag, written as it must be."""
    return flag.startswith(REPLACES) and all(
        number.isascii() and number.isdecimal() and len(number) <= 18 for number in flag[len(REPLACES) :].split("+")
    )


def replaced_by(flags: str) -> tuple[int, ...]:
    """Return the numbers of the rows that a row with these flags replaces."""
    if REPLACES not in flags:
        return ()
    found = (flag[len(REPLACES) :].split("+") for flag in flags.split() if is_replacing(flag))
    return tuple(int(number) for numbers in found for number in numbers)


def replaced_rows(flags: Iterable[str]) -> frozenset[int]:
    """Return the numbers of all rows that others replace, by the flags of a ``readings.csv``."""
    return frozenset(number for text in flags for number in replaced_by(text))
