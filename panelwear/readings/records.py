"""Any frozen record as one RFC 4180 line and back: CRLF, '.' decimals, empty = missing."""

from __future__ import annotations

import csv
import io
import numbers
import types
import typing
from collections.abc import Hashable, Sequence
from dataclasses import fields
from functools import cache
from typing import Any, TypeVar, cast

Record = TypeVar("Record")

FORMER_NAMES = {"sitting": "session"}
"""Columns by the name they had in version 0.1.0; files that bear it are read, and gone on with, as they are."""


@cache
def _readers(kind: Hashable) -> tuple[tuple[str, type, bool], ...]:
    hints = typing.get_type_hints(kind)
    found = []
    for field in fields(typing.cast(Any, kind)):
        hint = hints[field.name]
        optional = isinstance(hint, types.UnionType) and type(None) in typing.get_args(hint)
        base = next(a for a in typing.get_args(hint) if a is not type(None)) if optional else hint
        found.append((field.name, base, optional))
    return tuple(found)


def names(kind: type) -> tuple[str, ...]:
    """Column names of a record class, in order."""
    return tuple(name for name, _, _ in _readers(kind))


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
    return tuple(FORMER_NAMES.get(cell, cell) for cell in cells) == names(kind)


def record_line(record: Any) -> bytes:
    """Make the CSV line of one record."""
    return line([getattr(record, name) for name in names(type(record))])


def parse(kind: type[Record], cells: Sequence[str]) -> Record:
    """Read one record from its cells; ``ValueError`` names the column that does not fit."""
    readers = _readers(cast(Hashable, kind))
    if len(cells) != len(readers):
        raise ValueError(f"has {len(cells)} fields instead of {len(readers)}")
    values: dict[str, Any] = {}
    for (name, base, optional), cell in zip(readers, cells, strict=True):
        if cell == "" and base is not str:
            if not optional:
                raise ValueError(f"column {name} is empty")
            values[name] = None
            continue
        try:
            values[name] = base(cell)
        except ValueError:
            raise ValueError(f"column {name}: '{cell}' is not a number") from None
    return kind(**values)
