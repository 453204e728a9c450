"""Any frozen record as one RFC 4180 line and back: CRLF, '.' decimals, empty = missing."""

from __future__ import annotations

import csv
import io
import itertools
import numbers
from collections.abc import Sequence
from typing import Any, TypeVar

from panelwear.readings.columns import RecordColumn, columns_of

Record = TypeVar("Record")

LEAST_WHOLE, MOST_WHOLE = -(2**63), 2**63 - 1
"""What a whole number may be: tables hold it in 64 bits."""


def names(kind: type) -> tuple[str, ...]:
    """Column names of a record class, in order."""
    return tuple(column.name for column in columns_of(kind))


def text_of(value: object) -> str:
    """Write one value: numbers so that they read back exactly, whole floats without a tail, ``None`` as nothing."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value)
    # numpy's scalars are numbers too, but their own repr is ``np.float64(0.5)``, which no spreadsheet reads.
    if isinstance(value, numbers.Integral):
        return repr(int(value))
    if isinstance(value, numbers.Real):
        real = float(value)
        return repr(int(real)) if real.is_integer() and abs(real) < 1e15 else repr(real)
    return str(value)


def line(values: Sequence[object]) -> bytes:
    """Make one CSV line, quoted where needed, CRLF at the end."""
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\r\n").writerow([text_of(v) for v in values])
    return out.getvalue().encode()


def header(kind: type) -> bytes:
    """Make the header line of a record class."""
    return line(names(kind))


def is_header(cells: Sequence[str], kind: type) -> bool:
    """Tell whether a header line names the columns of a record class, by their present or their former names."""
    columns = columns_of(kind)
    return len(cells) == len(columns) and all(
        cell in (column.name, column.formerly) for cell, column in zip(cells, columns, strict=True)
    )


def record_line(record: Any) -> bytes:
    """Make the CSV line of one record."""
    return line([getattr(record, name) for name in names(type(record))])


def parse(kind: type[Record], cells: Sequence[str]) -> Record:
    """Read one record from its cells; ``ValueError`` names the column that does not fit."""
    columns = columns_of(kind)
    if len(cells) != len(columns):
        raise ValueError(f"has {len(cells)} fields instead of {len(columns)}")
    return kind(*(value_in(column, cell) for column, cell in zip(columns, cells, strict=True)))


def value_in(column: RecordColumn, cell: str) -> Any:
    """Read one cell, ``None`` where a number is missing that may be; ``ValueError`` names the column."""
    if column.kind is str:
        return cell  # text that another program emptied loses less than the whole row would
    if cell == "":
        if column.required:
            raise ValueError(f"column {column.name} is empty")
        return None
    try:
        value = column.kind(cell)
    except ValueError:
        raise ValueError(f"column {column.name}: '{cell}' is not a number") from None
    if column.kind is int and not LEAST_WHOLE <= value <= MOST_WHOLE:
        raise ValueError(f"column {column.name}: '{cell}' is too large a number")
    return value


def parse_all(kind: type[Record], rows: Sequence[Sequence[str]], same: dict[str, str] | None = None) -> list[Record]:
    """Read many records column by column; ``ValueError``, of one column at most, where any does not fit.

    Args:
        kind: the record class.
        rows: cells of each record.
        same: texts seen so far, each kept once, however many records hold it.
    """
    columns, kept = columns_of(kind), {} if same is None else same
    if any(len(cells) != len(columns) for cells in rows):
        raise ValueError("a record has too few or too many fields")
    return [
        kind(*values)
        for values in zip(*map(_values, columns, zip(*rows, strict=True), itertools.repeat(kept)), strict=True)
    ]


def _values(column: RecordColumn, cells: Sequence[str], same: dict[str, str]) -> Sequence[object]:
    if column.kind is str:
        return [*map(same.setdefault, cells, cells)]
    missing = "" in cells
    if missing and column.required:
        raise ValueError(f"column {column.name} is empty")
    values = [column.kind(cell) if cell else None for cell in cells] if missing else [*map(column.kind, cells)]
    if column.kind is int and not all(value is None or LEAST_WHOLE <= value <= MOST_WHOLE for value in values):
        raise ValueError(f"column {column.name}: too large a number")
    return values
