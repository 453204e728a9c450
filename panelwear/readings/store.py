"""An append-only CSV on disk: whole lines with one write each, synced; a torn tail is cut and kept beside."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Generic, TypeVar

from panelwear.atomic import write_whole
from panelwear.errors import FileFault, StorageFault
from panelwear.readings import records

Record = TypeVar("Record")


def _line_ends(data: bytes) -> Iterator[int]:
    """Yield where each line ends: behind every line feed outside quotes."""
    quoted = False
    position = 0
    while (found := data.find(b"\n", position)) >= 0:
        quoted ^= data.count(b'"', position, found) % 2 == 1
        position = found + 1
        if not quoted:
            yield position


def whole_length(data: bytes) -> int:
    """Length of the longest prefix of whole lines: everything after it is torn, even where it could be parsed.

    A file saved by another program with bare line feeds is whole too; a line of ours is torn without its CRLF.
    """
    return max(_line_ends(data), default=0)


def _bytes_of(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise StorageFault(f"{path}: cannot be read ({error.strerror})") from None


def _free_name(path: Path, word: str) -> Path:
    number = 1
    while (candidate := path.with_name(f"{path.stem}.{word}-{number}{path.suffix}")).exists():
        number += 1
    return candidate


def cut_torn_tail(path: Path) -> Path | None:
    """Cut an unfinished last line off and keep its bytes beside; returns where, or ``None`` when all is whole."""
    data = _bytes_of(path)
    end = whole_length(data)
    if end == len(data):
        return None
    beside = _free_name(path, "torn")
    write_whole(beside, data[end:])
    write_whole(path, data[:end])
    return beside


def set_aside(path: Path, keep_records: int) -> Path | None:
    """Move all records after the first ``keep_records`` into a file of their own beside; returns where."""
    data = _bytes_of(path)
    ends = [*_line_ends(data)]
    if len(ends) <= keep_records + 1:
        return None
    header, kept = ends[0], ends[keep_records]
    beside = _free_name(path, "set-aside")
    write_whole(beside, data[:header] + data[kept : ends[-1]])
    write_whole(path, data[:kept])
    return beside


def read(path: Path, kind: type[Record]) -> list[Record]:
    """Read all records, none of an empty file; ``FileFault`` with every line that does not fit."""
    return _parsed(path.name, _bytes_of(path), kind)


def read_journal(path: Path, kind: type[Record]) -> list[Record]:
    """Read the records that were written whole: a torn tail is left out, as ``cut_torn_tail`` will cut it."""
    data = _bytes_of(path)
    return _parsed(path.name, data[: whole_length(data)], kind)


def _parsed(name: str, data: bytes, kind: type[Record]) -> list[Record]:
    if not data:
        return []
    try:
        rows = list(csv.reader(io.StringIO(data.decode("utf-8"), newline="")))
    except UnicodeDecodeError as error:
        raise FileFault((f"{name}: byte {error.start}: not UTF-8; it was changed by another program",)) from None
    except csv.Error as error:
        raise FileFault((f"{name}: is not a CSV of ours ({error}); restore it from a copy",)) from None
    wanted = list(records.names(kind))
    if not rows or not records.is_header(rows[0], kind):
        raise FileFault((f"{name}: line 1: the columns are not those of docs/csv.md ({', '.join(wanted)})",))
    try:
        return records.parse_all(kind, rows[1:])
    except ValueError:
        pass  # something does not fit: one by one, every record that does not is named
    found: list[Record] = []
    problems = []
    for number, cells in enumerate(rows[1:], start=2):
        try:
            found.append(records.parse(kind, cells))
        except ValueError as error:
            problems.append(f"{name}: record {number}: {error}")
    if problems:
        raise FileFault(tuple(problems))
    return found


def _sync(handle: int) -> None:
    full_sync = getattr(__import__("fcntl"), "F_FULLFSYNC", None) if os.name == "posix" else None
    if full_sync is not None:  # macOS: fsync alone stops at the drive's cache
        import fcntl

        try:
            fcntl.fcntl(handle, full_sync)
        except OSError:
            pass
        else:
            return
    os.fsync(handle)


class Store(Generic[Record]):
    """One open CSV; each ``append`` is on the disk before it returns."""

    def __init__(self, path: Path, kind: type[Record], metadata: bytes | None = None) -> None:
        """Open ``path`` or begin it; ``metadata`` is written beside before the first line of a new file.

        A torn tail is cut first, so that no line is ever glued to it; ``torn_beside`` is where its bytes were kept.

        Raises:
            StorageFault: it cannot be opened.
            FileFault: what is there begins with other columns.
        """
        self.path = path
        there = _bytes_of(path) if path.exists() else b""
        header_end = next(_line_ends(there), 0)
        _parsed(path.name, there[:header_end], kind)
        self.torn_beside = cut_torn_tail(path) if there else None
        fresh = header_end == 0
        if fresh and metadata is not None:
            write_whole(path.with_name(f"{path.name}-metadata.json"), metadata)
        flags = os.O_WRONLY | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0)
        try:
            self._handle = os.open(path, flags, 0o644)
        except OSError as error:
            raise StorageFault(
                f"{path}: cannot be opened for writing ({error.strerror}); close other programs"
            ) from None
        if fresh:
            try:
                self._write(records.header(kind))
            except StorageFault:
                self.close()
                raise

    def _write(self, data: bytes) -> None:
        try:
            written = os.write(self._handle, data)
            _sync(self._handle)
        except OSError as error:
            raise StorageFault(
                f"{self.path}: a line could not be written ({error.strerror}); free some space"
            ) from None
        if written != len(data):
            raise StorageFault(f"{self.path}: the disk is full; the last line is cut on the next resume")

    def append(self, record: Record) -> None:
        """Write one record and sync it."""
        self._write(records.record_line(record))

    def close(self) -> None:
        """Let the file go."""
        os.close(self._handle)

    def __enter__(self) -> Store[Record]:
        return self

    def __exit__(self, *_: Any) -> None:
        self.close()
