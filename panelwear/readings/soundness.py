"""What is wrong with records that can be read: numbering, unknown words, numbers that are none, edited colours."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from operator import attrgetter

from panelwear.colorimetry.plausible import IMPOSSIBLE, why_impossible
from panelwear.readings.columns import columns_of
from panelwear.readings.marks import KINDS, STRENGTHS, Mark
from panelwear.readings.matches import METHODS, MatchResult
from panelwear.readings.row import FLAGS, Row

XY_TOLERANCE = 2e-6
"""x and y are stored with six decimals; a file saved by a spreadsheet may have lost the last one."""
_NUMBERS = tuple(column.name for column in columns_of(Row) if column.kind is float)
_numbers_of = attrgetter(*_NUMBERS)


def row_faults(rows: Sequence[Row], file: str) -> Iterator[str]:
    """Say what is wrong with the rows of ``readings.csv``, each with record (the header is the first) and column."""
    known = {"ok"}
    for number, row in enumerate(rows, start=2):
        if row.row != number - 1:
            yield f"{file}: record {number}: row is {row.row}, expected {number - 1}; a line is missing"
            return
        if row.flags not in known:
            unknown = [flag for flag in row.flags.split() if flag not in FLAGS]
            yield from (f"{file}: record {number}: flags: unknown '{flag}'" for flag in unknown)
            if not unknown:
                known.add(row.flags)
        values = _numbers_of(row)
        if not math.isfinite(sum(value for value in values if value is not None)):
            yield from (f"{file}: record {number}: {fault}" for fault in _no_numbers(values))
        yield from (f"{file}: record {number}: {fault}" for fault in _colour_faults(row))


def impossible_rows(rows: Sequence[Row], file: str) -> Iterator[str]:
    """Say which readings cannot be light: no fault of the file, but no figure is made of them."""
    for row in rows:
        note = row.note.partition(";")[0] if IMPOSSIBLE in row.flags.split() else ""
        why = why_impossible(row.X_cd_m2, row.Y_cd_m2, row.Z_cd_m2) or note
        if why:
            yield f"{file}: row {row.row} ({row.patch}): {why}; it enters no figure"


def _no_numbers(values: Sequence[float | None]) -> Iterator[str]:
    for name, value in zip(_NUMBERS, values, strict=True):
        if value is not None and not math.isfinite(value):
            yield f"{name}: {value} is no number; a missing one is an empty field"


def _colour_faults(row: Row) -> Iterator[str]:
    """Hold x and y against X, Y, Z, from which the program worked them out when the row was written."""
    X, Y, Z = row.X_cd_m2, row.Y_cd_m2, row.Z_cd_m2
    if X is None or Y is None or Z is None or row.x is None or row.y is None:
        return
    total = X + Y + Z
    if not (math.isfinite(total) and total > 0):
        return
    for name, stored, said in (("x", row.x, X / total), ("y", row.y, Y / total)):
        if abs(stored - said) > XY_TOLERANCE:
            yield f"{name} is {stored:g}, X, Y, Z make {said:.6f}; one of them was edited"


def mark_faults(marks: Sequence[Mark], file: str) -> Iterator[str]:
    """Say what is wrong with the marks of ``marks.csv``."""
    for record, row in enumerate(marks, start=2):
        for column, value, allowed in (
            ("kind", row.kind, KINDS),
            ("strength", row.strength, STRENGTHS),
            ("shape", row.shape, ("rect", "line")),
        ):
            if value not in allowed:
                yield f"{file}: record {record}: {column}: '{value}' is not one of {', '.join(allowed)}"
        if not 0 <= row.code <= 255:
            yield f"{file}: record {record}: code: {row.code:g} is outside 0..255"


def match_faults(matches: Sequence[MatchResult], file: str) -> Iterator[str]:
    """Say what is wrong with the matches of ``matches.csv``."""
    for record, row in enumerate(matches, start=2):
        here = f"{file}: record {record}"
        if row.method not in METHODS:
            yield f"{here}: method: '{row.method}' is not one of {', '.join(METHODS)}"
        try:
            if row.rect.w < 1 or row.rect.h < 1:
                yield f"{here}: rect_px: '{row.rect_px}' has no pixels"
        except ValueError:
            yield f"{here}: rect_px: '{row.rect_px}' is not four whole numbers: left top width height"
        if row.low_percent is not None and row.high_percent is not None and row.low_percent > row.high_percent:
            yield f"{here}: low_percent is above high_percent"
