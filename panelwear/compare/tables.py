"""Tables as plain data, for CSV and JSON: every column with its unit, every number with its uncertainty."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence
from dataclasses import dataclass

Cell = str | float | int | bool | None


@dataclass(frozen=True, slots=True)
class CsvColumn:
    """One column."""

    name: str
    unit: str
    """``""`` for words, ``row`` where the row's own ``unit`` column says it."""
    description: str


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

    def to_json(self) -> dict[str, object]:
        """Return plain data for ``json``."""
        return {
            "name": self.name,
            "caption": self.caption,
            "columns": [{"name": c.name, "unit": c.unit, "description": c.description} for c in self.columns],
            "rows": [dict(zip((c.name for c in self.columns), row, strict=True)) for row in self.rows],
        }


def table(
    name: str, caption: str, columns: Sequence[tuple[str, str, str]], rows: Sequence[Sequence[object]]
) -> CsvTable:
    """Make a table; ``columns`` are (name, unit, description)."""
    return CsvTable(
        name, caption, tuple(CsvColumn(*c) for c in columns), tuple(tuple(plain(cell) for cell in row) for row in rows)
    )


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
