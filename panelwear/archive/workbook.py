"""A checkpoint as a spreadsheet (Office Open XML): a sheet a table, units below the names, meanings as notes.

Every text is stored as text, and none begins with what a spreadsheet takes for a formula: names and notes may be
anybody's.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zipfile import ZIP_DEFLATED, BadZipFile, ZipFile, ZipInfo

from groundwork.documents import printable
from panelwear.compare.tables import ROW, CsvTable, safe
from panelwear.readings.by_column import ByColumn
from panelwear.readings.columns import columns_of

if TYPE_CHECKING:
    from openpyxl.worksheet._write_only import WriteOnlyWorksheet

CREATOR = "panelwear"
MOST_ROWS = 1_048_576 - 2
"""Rows of a sheet below its two heads (ECMA-376, as spreadsheets hold it)."""
WIDEST = 60
"""Characters of a column's width; longer cells flow over."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: heads with unit and meaning, and rows as they come."""

    name: str
    heads: Sequence[tuple[str, str, str]]
    """Name, unit and meaning of each column."""
    rows: Iterable[Sequence[object]]
    widths: Sequence[int] = ()


def sheet_of(table: CsvTable) -> Sheet:
    """Return a table of a comparison or of figures as a sheet."""
    heads = [(c.name, "see unit" if c.unit == ROW else c.unit, c.description) for c in table.columns]
    return Sheet(table.name, heads, table.rows, _widths([c.name for c in table.columns], table.rows))


def readings_sheet(name: str, found: ByColumn, record: type) -> Sheet:
    """Return all records of a CSV of ours as a sheet, as they were stored."""
    columns = columns_of(record)
    heads = [(c.name, c.unit, c.meaning) for c in columns]
    held = [found.texts[c.name].tolist() if c.name in found.texts else found.numbers[c.name].tolist() for c in columns]
    gone = [found.missing_in(c.name).tolist() for c in columns]
    moments = [c.is_moment for c in columns]

    def rows() -> Iterator[Sequence[object]]:
        for n in range(len(found)):
            each = zip(held, gone, moments, strict=True)
            yield [None if away[n] else _moment(cells[n]) if moment else cells[n] for cells, away, moment in each]

    return Sheet(name, heads, rows(), [max(len(c.name) + 2, 12) for c in columns])


def _moment(seconds: Any) -> datetime | None:
    # A spreadsheet's moments have no zone; the column's name says that it is UTC.
    if not math.isfinite(seconds):
        return None
    return datetime.fromtimestamp(round(seconds * 1000) / 1000, UTC).replace(tzinfo=None)


def _widths(names: Sequence[str], rows: Iterable[Sequence[object]]) -> list[int]:
    wide = [len(name) for name in names]
    for row in rows:
        wide = [max(now, len(str(cell)) if isinstance(cell, str) else 10) for now, cell in zip(wide, row, strict=True)]
    return [min(each + 2, WIDEST) for each in wide]


def workbook_of(sheets: Sequence[Sheet], title: str, notes: Sequence[tuple[str, str]]) -> bytes:
    """Write a workbook: a sheet of notes (name and text), then the others.

    Raises:
        ValueError: a sheet has more rows than a spreadsheet holds.
    """
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    book.properties.creator, book.properties.title = CREATOR, _text(title)
    about = Sheet("notes", [("about", "", "what it is about"), ("note", "", "what has to be known")], notes, [24, 120])
    for sheet in (about, *sheets):
        _write(book.create_sheet(sheet.name), sheet)
    out = io.BytesIO()
    book.save(out)
    return _without_the_clock(out)


def _without_the_clock(written: io.BytesIO) -> bytes:
    """Return a workbook in which no moment of writing stands, so that the same tables give the same bytes."""
    out = io.BytesIO()
    with ZipFile(written) as held, ZipFile(out, "w", ZIP_DEFLATED) as made:
        for part in held.namelist():
            data = held.read(part)
            made.writestr(_entry(part), _MOMENT.sub(b"", data) if part == "docProps/core.xml" else data)
    return out.getvalue()


def _entry(name: str) -> ZipInfo:
    entry = ZipInfo(name)  # its moment is the first that ZIP knows
    entry.compress_type, entry.external_attr = ZIP_DEFLATED, 0o600 << 16
    return entry


_MOMENT = re.compile(rb"<dcterms:(created|modified)\b[^>]*>[^<]*</dcterms:\1>")


def _write(page: WriteOnlyWorksheet, sheet: Sheet) -> None:
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.comments import Comment
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    page.freeze_panes = "A3"
    for number, width in enumerate(sheet.widths, start=1):
        page.column_dimensions[get_column_letter(number)].width = width
    names, units = [], []
    for name, unit, meaning in sheet.heads:
        head = WriteOnlyCell(page, _text(name))
        head.font, head.comment = Font(bold=True), Comment(_text(meaning), CREATOR)
        below = WriteOnlyCell(page, _text(unit))
        below.font = Font(italic=True)
        names.append(head)
        units.append(below)
    page.append(names)
    page.append(units)
    for count, row in enumerate(sheet.rows, start=1):
        if count > MOST_ROWS:
            raise ValueError(f"'{sheet.name}' has more than {MOST_ROWS} rows, which no spreadsheet holds")
        page.append([_cell(page, value) for value in row])


def _cell(page: WriteOnlyWorksheet, value: object) -> object:
    from openpyxl.cell import WriteOnlyCell

    if isinstance(value, str):
        cell = WriteOnlyCell(page, _text(value))
        cell.data_type = "s"  # never taken for a formula, however it begins
        return cell
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def _text(text: str) -> str:
    """Return a text as a cell may hold it: no control characters, no formula, no longer than a cell is."""
    return str(safe(printable(text)))[:32_000]


def is_ours(path: Path) -> bool:
    """Tell whether a file is a workbook that this program wrote."""
    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        book = load_workbook(path, read_only=True)
    except (OSError, ValueError, KeyError, BadZipFile, InvalidFileException):
        return False
    with_us: bool = book.properties.creator == CREATOR
    book.close()
    return with_us
