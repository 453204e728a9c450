"""A whole CSV of ours as arrays, one a column: no object a record, and no more of the file in memory than a piece.

The same records, and the same faults in the same words, as ``store.read_journal`` gives one by one.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

from groundwork.files import LARGEST_TABLE
from panelwear.errors import FileFault
from panelwear.readings import records, store
from panelwear.readings.columns import RecordColumn, columns_of
from panelwear.readings.instants import since_1970
from panelwear.readings.labels import Labels, narrow
from panelwear.readings.parts import Part, Words
from panelwear.readings.plain import plain_block
from panelwear.readings.scan import PIECE, Scanned, scan


@dataclass(frozen=True, slots=True, eq=False)
class ByColumn:
    """The records of a CSV, n of them, in the order of the file."""

    numbers: Mapping[str, NDArray[Any]]
    """By column of numbers: int64, or float64 with ``nan`` where one is missing; of moments seconds since 1970 UTC."""
    missing: Mapping[str, NDArray[np.bool_]]
    """Columns of numbers in which some are missing, and which are."""
    texts: Mapping[str, Labels]
    size: int

    def __len__(self) -> int:
        return self.size

    def missing_in(self, name: str) -> NDArray[np.bool_]:
        """Tell in which records a number is missing."""
        return self.missing.get(name, np.zeros(self.size, dtype=np.bool_))

    def where(self, keep: NDArray[np.bool_]) -> ByColumn:
        """Keep the records where ``keep`` is true, in order."""
        if keep.all():
            return self
        kept = [{name: held[keep] for name, held in part.items()} for part in (self.numbers, self.missing)]
        texts = {name: held[keep] for name, held in self.texts.items()}
        return ByColumn(kept[0], kept[1], texts, int(keep.sum()))


def read_columns(path: Path, kind: type) -> ByColumn:
    """Read the records that were written whole, none of an empty file; a torn tail is left out.

    Raises:
        FileFault: every record that does not fit.
        StorageFault: it cannot be read, or is larger than ``LARGEST_TABLE``.
    """
    with store.opened_table(path, LARGEST_TABLE) as file:
        scanned = scan(file)
        if scanned.not_utf8_at is not None:
            raise store.not_utf8(path.name, scanned.not_utf8_at)
        reader = _Reader(path.name, kind, file, scanned)
        try:
            reader.read()
        except csv.Error as error:
            raise store.no_csv(path.name, error) from None
        return reader.put_together()


def nothing_of(kind: type) -> ByColumn:
    """Return the columns of no record at all."""
    return _Reader("", kind, io.BytesIO(), Scanned(0, 0, None)).put_together()


class _Lines:
    """The lines of a file from a place on, as ``csv`` wants them, and how far they were given out."""

    def __init__(self, file: BinaryIO, at: int, end: int) -> None:
        file.seek(at)
        self._file = file
        self._end = end
        self.at = at
        self.between = True
        """Whether the line that was given out last ends where a line feed does; a lone return ends one too."""

    def __iter__(self) -> Iterator[str]:
        while self.at < self._end:
            line = self._file.readline(self._end - self.at)
            self.at += len(line)
            *before, last = io.StringIO(str(line, "utf-8"), newline="")
            self.between = False
            yield from before
            self.between = True
            yield last


class _Reader:
    """Reads one file: plain blocks at once, all others as ``csv`` reads them."""

    def __init__(self, name: str, kind: type, file: BinaryIO, scanned: Scanned) -> None:
        self._name, self._kind, self._file = name, kind, file
        self._columns = columns_of(kind)
        self._end = scanned.whole_bytes
        self._words: Words = {c.name: {} for c in self._columns if c.kind is str and not c.is_moment}
        self._parts: list[list[Part]] = [[] for _ in self._columns]
        self._records = 0
        self._problems: list[str] = []

    def read(self) -> None:
        """Read all of it; ``FileFault`` with every record that does not fit, ``csv.Error`` where it is no CSV."""
        at = self._read_header() if self._end else 0
        while at < self._end:
            self._file.seek(at)
            piece = self._file.read(min(PIECE, self._end - at))
            block = piece[: piece.rfind(b"\n") + 1]
            parts = plain_block(block, self._columns, self._words) if block else None
            if parts is None:
                at = self._read_carefully(at, at + len(block or piece))
            else:
                self._add(parts)
                at += len(block)
        if self._problems:
            raise FileFault(tuple(self._problems))

    def _read_header(self) -> int:
        lines = _Lines(self._file, 0, self._end)
        head = next(csv.reader(iter(lines)), [])
        if not records.is_header(head, self._kind):
            raise store.other_columns(self._name, self._kind)
        if lines.between:
            return lines.at
        return self._read_carefully(0, lines.at, after_header=True)

    def _read_carefully(self, at: int, end: int, *, after_header: bool = False) -> int:
        """Read records from one place to another, or on to where the next record begins; returns where that is."""
        lines = _Lines(self._file, at, self._end)
        block: list[list[str]] = []
        read = csv.reader(iter(lines))
        if after_header:
            next(read)
        for cells in read:
            block.append(cells)
            reached = lines.between and lines.at >= end
            if reached or len(block) == store.BLOCK:
                self._take(block)
                block = []
            if reached:
                break
        if block:
            self._take(block)
        return lines.at

    def _take(self, block: list[list[str]]) -> None:
        if not self._problems:
            try:
                cells = zip(self._columns, _turned(self._columns, block), strict=True)
                self._add([_part(column, held, self._words) for column, held in cells])
            except ValueError:  # something does not fit: one by one, every record that does not is named
                pass
            else:
                return
        self._problems += store.one_by_one(self._name, block, self._kind, self._records + 2)[1]
        self._records += len(block)

    def _add(self, parts: Sequence[Part]) -> None:
        for held, part in zip(self._parts, parts, strict=True):
            held.append(part)
        self._records += len(parts[0].values)

    def put_together(self) -> ByColumn:
        """Return what was read; the pieces are let go column by column."""
        numbers, missing, texts = {}, {}, {}
        for column, parts in zip(self._columns, self._parts, strict=True):
            empty = np.int64 if column.kind is int else np.uint32 if column.name in self._words else np.float64
            values: NDArray[Any] = (
                np.concatenate([part.values for part in parts]) if parts else np.zeros(0, dtype=empty)
            )
            if column.name in self._words:
                words = self._words[column.name]
                texts[column.name] = Labels(narrow(values, len(words)), tuple(words))
            else:
                numbers[column.name] = values
            if any(part.missing is not None for part in parts):
                missing[column.name] = np.concatenate(
                    [np.zeros(len(p.values), dtype=np.bool_) if p.missing is None else p.missing for p in parts]
                )
            parts.clear()
        return ByColumn(numbers, missing, texts, self._records)


def _turned(columns: Sequence[RecordColumn], block: Sequence[Sequence[str]]) -> list[tuple[str, ...]]:
    if any(len(cells) != len(columns) for cells in block):
        raise ValueError("a record has too few or too many fields")
    return [*zip(*block, strict=True)]


def _part(column: RecordColumn, cells: Sequence[str], words: Words) -> Part:
    if column.is_moment:
        return Part(np.array([since_1970(cell) for cell in cells], dtype=np.float64))
    if column.kind is str:
        known = words[column.name]
        return Part(np.array([known.setdefault(cell, len(known)) for cell in cells], dtype=np.uint32))
    values = [records.value_in(column, cell) for cell in cells]
    missing = np.array([value is None for value in values])
    filler, dtype = (0, np.int64) if column.kind is int else (np.nan, np.float64)
    held = np.array([filler if value is None else value for value in values], dtype=dtype)
    return Part(held, missing if missing.any() else None)
