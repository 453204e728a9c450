"""What is wrong with rows that can be read: numbering, flags, numbers that are none, colours not of their X, Y, Z."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from panelwear.readings import records
from panelwear.readings.row import FLAGS, Row

XY_TOLERANCE = 2e-6
"""x and y are stored with six decimals; a file saved by a spreadsheet may have lost the last one."""


def row_faults(rows: Sequence[Row], file: str) -> Iterator[str]:
    """Say what is wrong with the rows of ``readings.csv``, each with record (the header is the first) and column."""
    expected = 1
    for number, row in enumerate(rows, start=2):
        if row.row != expected:
            yield f"{file}: record {number}: row is {row.row}, expected {expected}; a line is missing"
            return
        expected += 1
        for flag in row.flags.split():
            if flag not in FLAGS:
                yield f"{file}: record {number}: flags: unknown '{flag}'"
        for name in records.names(Row):
            value = getattr(row, name)
            if isinstance(value, float) and not math.isfinite(value):
                yield f"{file}: record {number}: {name}: {value} is no number; a missing one is an empty field"
        yield from (f"{file}: record {number}: {fault}" for fault in _colour_faults(row))


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
