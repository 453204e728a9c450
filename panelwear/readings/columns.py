"""What a field of a record tells of its column: the one list header, writer, reader, metadata and documents follow.

A new column of a CSV is one line: a field of the record, with its ``Column`` beside its type.
"""

from __future__ import annotations

import types
import typing
from collections.abc import Hashable
from dataclasses import dataclass, fields
from functools import cache
from typing import Annotated, Any

DATATYPES = {int: "integer", float: "number", str: "string"}
"""CSVW's built-in datatypes of our types."""


@dataclass(frozen=True, slots=True)
class Column:
    """What stands beside a field's type: ``x: Annotated[float, Column("cd/m²", "Luminance")]``."""

    unit: str
    """``cd/m²``, ``s``, ``px``, ``1`` for pure numbers, empty for text."""
    meaning: str
    datatype: str = ""
    """CSVW built-in datatype where the field's type does not tell it, such as ``dateTime``."""
    may_be_empty: bool = False
    """Of text; a number may be missing where its type allows ``None``."""
    formerly: str = ""
    """Its name in files of version 0.1.0, which are read, and gone on with, as they are."""


@dataclass(frozen=True, slots=True)
class RecordColumn:
    """One column of a record class, with all that follows from its field."""

    name: str
    kind: type
    """``int``, ``float`` or ``str``."""
    datatype: str
    unit: str
    meaning: str
    required: bool
    formerly: str

    @property
    def is_moment(self) -> bool:
        """Whether it holds moments in ISO 8601."""
        return self.datatype == "dateTime"


@cache
def _columns_of(record: Hashable) -> tuple[RecordColumn, ...]:
    hints = typing.get_type_hints(record, include_extras=True)
    return tuple(_column(field.name, hints[field.name]) for field in fields(typing.cast(Any, record)))


def columns_of(record: type) -> tuple[RecordColumn, ...]:
    """Return the columns of a record class, in the order of its fields."""
    return _columns_of(record)


def _column(name: str, hint: Any) -> RecordColumn:
    if typing.get_origin(hint) is not Annotated:
        raise TypeError(f"{name}: a column of a CSV needs its Column beside its type")
    plain, said = typing.get_args(hint)
    parts = typing.get_args(plain) if isinstance(plain, types.UnionType) else (plain,)
    kind = next(part for part in parts if part is not type(None))
    required = type(None) not in parts and not said.may_be_empty
    return RecordColumn(name, kind, said.datatype or DATATYPES[kind], said.unit, said.meaning, required, said.formerly)


def table_of(record: type) -> str:
    """Return the table of a record's columns as ``docs/csv.md`` prints it."""
    head = ["| column | type | unit | meaning |", "|---|---|---|---|"]
    rows = [f"| `{c.name}` | {c.datatype} | {c.unit} | {c.meaning} |" for c in columns_of(record)]
    return "\n".join([*head, *rows])
