"""An append-only CSV on disk: whole lines with one write each, synced; a torn tail is cut and kept beside."""

from __future__ import annotations

import csv
import io
import os
from pathlib import Path
from typing import Any, Generic, TypeVar

from panelwear.errors import FileFault, StorageFault
from panelwear.folder.atomic import write_whole
from panelwear.journal import records

Record = TypeVar("Record")


def whole_length(data: bytes) -> int:
    """Length of the longest prefix that ends with a CRLF outside quotes: everything after it is torn."""
    quoted = False
    end = 0
    position = 0
    while (found := data.find(b"\n", position)) >= 0:
        quoted ^= data.count(b'"', position, found) % 2 == 1
        if not quoted and data[found - 1 : found] == b"\r":
            end = found + 1
        position = found + 1
    return end


def _free_name(path: Path, word: str) -> Path:
    number = 1
    while (candidate := path.with_name(f"{path.stem}.{word}-{number}{path.suffix}")).exists():
        number += 1
    return candidate


def cut_torn_tail(path: Path) -> Path | None:
    """Cut an unfinished last line off and keep its bytes beside; returns where, or ``None`` when all is whole."""
    data = path.read_bytes()
    end = whole_length(data)
    if end == len(data):
        return None
    beside = _free_name(path, "torn")
    write_whole(beside, data[end:])
    write_whole(path, data[:end])
    return beside


def set_aside(path: Path, keep_records: int) -> Path | None:
    """Move all records after the first ``keep_records`` into a file of their own beside; returns where."""
    lines = _lines(path.read_bytes())
    if len(lines) <= keep_records + 1:
        return None
    beside = _free_name(path, "set-aside")
    write_whole(beside, lines[0] + b"".join(lines[keep_records + 1 :]))
    write_whole(path, b"".join(lines[: keep_records + 1]))
    return beside


def _lines(data: bytes) -> list[bytes]:
    lines = []
    while data and (end := _first_line(data)):
        lines.append(data[:end])
        data = data[end:]
    return lines


def _first_line(data: bytes) -> int:
    quoted = False
    position = 0
    while (found := data.find(b"\n", position)) >= 0:
        quoted ^= data.count(b'"', position, found) % 2 == 1
        if not quoted:
            return found + 1
        position = found + 1
    return 0


def read(path: Path, kind: type[Record]) -> list[Record]:
    """Read all records; ``FileFault`` with every line that does not fit."""
    try:
        text = path.read_bytes().decode("utf-8")
    except UnicodeDecodeError as error:
        raise FileFault((f"{path.name}: byte {error.start}: not UTF-8; it was changed by another program",)) from None
    rows = list(csv.reader(io.StringIO(text, newline="")))
    wanted = list(records.names(kind))
    if not rows or rows[0] != wanted:
        raise FileFault((f"{path.name}: line 1: the columns are not those of docs/csv.md ({', '.join(wanted)})",))
    found: list[Record] = []
    problems = []
    for number, cells in enumerate(rows[1:], start=2):
        try:
            found.append(records.parse(kind, cells))
        except ValueError as error:
            problems.append(f"{path.name}: record {number}: {error}")
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
        """Open or begin ``path``; ``metadata`` is written beside before the first line of a new file."""
        self.path = path
        self._kind = kind
        fresh = not path.exists()
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
            self._write(records.header(kind))

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
