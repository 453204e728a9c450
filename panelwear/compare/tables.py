"""Tables as plain data, for CSV and JSON: every column with its unit, every number with its uncertainty."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence
from dataclasses import dataclass

from panelwear.readings.csvw import Described, described
from panelwear.uncertainty.digits import AS_GIVEN, significant, to_uncertainty

ROW = "row"
"""Unit of a column whose unit stands in a column of the row itself."""

Cell = str | float | int | bool | None


HOURS_BETWEEN = (
    ("hours_low_h", "h", "least they can be; the hours themselves unless they are a range"),
    ("hours_high_h", "h", "most they can be"),
)
"""Columns behind one of hours of use."""


@dataclass(frozen=True, slots=True)
class CsvColumn:
    """One column."""

    name: str
    unit: str
    """``""`` for words, ``row`` where the row's own ``unit`` column says it."""
    description: str
    digits: int | str = AS_GIVEN
    """Significant digits of its numbers, or the column whose uncertainty says where they end."""

    @property
    def datatype(self) -> str:
        """CSVW's built-in datatype: whatever has a unit is a number."""
        return "number" if self.unit else "string"


@dataclass(frozen=True, slots=True)
class CsvTable:
    """Rows under named columns; numbers that are not finite are ``None``."""

    name: str
    caption: str
    columns: tuple[CsvColumn, ...]
    rows: tuple[tuple[Cell, ...], ...]

    def csv(self) -> str:
        """Return the table as CSV (RFC 4180: CRLF, quotes where needed), header first."""
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\r\n")
        writer.writerow([c.name for c in self.columns])
        writer.writerows([[safe(cell) for cell in row] for row in self.rows])
        return out.getvalue()

    def csvw(self, url: str) -> bytes:
        """Return CSVW metadata of the table's CSV at ``url``, a file name beside it."""
        return described(
            url,
            [Described(c.name, c.datatype, "" if c.unit == ROW else c.unit, c.description) for c in self.columns],
            title=self.caption,
        )

    def to_json(self) -> dict[str, object]:
        """Return plain data for ``json``."""
        return {
            "name": self.name,
            "caption": self.caption,
            "columns": [{"name": c.name, "unit": c.unit, "description": c.description} for c in self.columns],
            "rows": [dict(zip((c.name for c in self.columns), row, strict=True)) for row in self.rows],
        }


Columns = Sequence[tuple[str, str, str] | tuple[str, str, str, int | str]]


def table(name: str, caption: str, columns: Columns, rows: Sequence[Sequence[object]]) -> CsvTable:
    """Make a table; ``columns`` are (name, unit, description, digits), the last as in ``CsvColumn``."""
    made = tuple(CsvColumn(*c) for c in columns)
    return CsvTable(name, caption, made, tuple(_rounded(made, [plain(cell) for cell in row]) for row in rows))


def _rounded(columns: Sequence[CsvColumn], row: Sequence[Cell]) -> tuple[Cell, ...]:
    """Return a row with as many digits as mean something."""
    cells = dict(zip((c.name for c in columns), row, strict=True))

    def one(column: CsvColumn, cell: Cell) -> Cell:
        if not isinstance(cell, float):
            return cell
        if isinstance(column.digits, int):
            return significant(cell, column.digits)
        u = cells[column.digits]
        return to_uncertainty(cell, u if isinstance(u, float) else None)

    return tuple(one(column, cell) for column, cell in zip(columns, row, strict=True))


def plain(cell: object) -> Cell:
    """Turn a value into what CSV and JSON can hold; what is not finite becomes ``None``."""
    if cell is None or isinstance(cell, str | bool | int):
        return cell
    if isinstance(cell, float):
        return float(cell) if math.isfinite(cell) else None
    return str(cell)


def safe(cell: Cell) -> Cell:
    """Return a cell that no spreadsheet takes for a formula: names and notes may be anybody's. Numbers stay."""
    if cell is None:
        return ""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(("=", "+", "-", "@", "\t", "\r")) else cell
