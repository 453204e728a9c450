"""An append-only CSV on disk: whole lines with one write each, synced; a torn tail is cut and kept beside."""

from __future__ import annotations

import codecs
import csv
import errno
import hashlib
import io
import itertools
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO, Generic, TypeVar

from groundwork.files import LARGEST_TABLE, content, opened
from panelwear.atomic import refuse_links, write_whole
from panelwear.errors import FileFault, StorageFault
from panelwear.readings import records
from panelwear.readings.scan import Lines, Written, pieces, scan, written_in

Record = TypeVar("Record")

BLOCK = 5000
"""Records that are parsed at once."""
LARGEST_BY_RECORD = 100_000_000
"""Bytes of the largest CSV that is read record by record, as a run does that goes on with it: some 270,000 readings."""
TOO_MANY = f"it is larger than {LARGEST_BY_RECORD} bytes; no run goes on with it: begin another checkpoint"


def _line_ends(data: bytes) -> Iterator[int]:
    """Yield where each line ends: behind every line feed outside quotes."""
    return Lines().ends(data)


def whole_length(data: bytes) -> int:
    """Length of the longest prefix of whole lines: everything after it is torn, even where it could be parsed.

    A file saved by another program with bare line feeds is whole too; a line of ours is torn without its CRLF.
    """
    return max(_line_ends(data), default=0)


def opened_table(path: Path, largest: int = LARGEST_TABLE) -> BinaryIO:
    """Open a CSV for reading; ``StorageFault`` where it cannot be, or is larger."""
    try:
        return opened(path, largest)[0]
    except OSError as error:
        raise StorageFault(f"{path}: cannot be read ({error.strerror})") from None


def _bytes_of(path: Path) -> bytes:
    try:
        return content(path, LARGEST_BY_RECORD)
    except OSError as error:
        why = error.strerror if error.errno != errno.EFBIG else TOO_MANY
        raise StorageFault(f"{path}: cannot be read ({why})") from None


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
        if not data.isascii():  # asked before anything else is, so that every reader tells the same fault
            codecs.utf_8_decode(data, "strict", True)
        return _records_of(name, data, kind)
    except UnicodeDecodeError as error:
        raise not_utf8(name, error.start) from None
    except csv.Error as error:
        raise no_csv(name, error) from None


def not_utf8(name: str, at: int) -> FileFault:
    """Return the fault of a CSV with a byte that is no UTF-8."""
    return FileFault((f"{name}: byte {at}: not UTF-8; it was changed by another program",))


def no_csv(name: str, error: csv.Error) -> FileFault:
    """Return the fault of a file that is no CSV."""
    return FileFault((f"{name}: is no CSV of panelwear ({error}); restore it from a copy",))


def other_columns(name: str, kind: type) -> FileFault:
    """Return the fault of a CSV that begins with other columns than the record has."""
    wanted = ", ".join(records.names(kind))
    return FileFault((f"{name}: line 1: the columns are not those of docs/csv.md ({wanted})",))


def _records_of(name: str, data: bytes, kind: type[Record]) -> list[Record]:
    """Read a block of records at a time, so that of a large file only the records stay in memory."""
    lines = csv.reader(io.TextIOWrapper(io.BytesIO(data), encoding="utf-8", newline=""))
    head = next(lines, [])
    if not records.is_header(head, kind):
        raise other_columns(name, kind)
    found: list[Record] = []
    problems: list[str] = []
    number = 2
    same: dict[str, str] = {}
    while block := list(itertools.islice(lines, BLOCK)):
        try:
            found += records.parse_all(kind, block, same)
        except ValueError:  # something does not fit: one by one, every record that does not is named
            sound, faults = one_by_one(name, block, kind, number)
            found += sound
            problems += faults
        number += len(block)
    if problems:
        raise FileFault(tuple(problems))
    return found


def one_by_one(name: str, block: list[list[str]], kind: type[Record], first: int) -> tuple[list[Record], list[str]]:
    """Read records each for itself, the first with this number; returns those that fit, and a fault for each other."""
    sound: list[Record] = []
    faults = []
    for number, cells in enumerate(block, start=first):
        try:
            sound.append(records.parse(kind, cells))
        except ValueError as error:
            faults.append(f"{name}: record {number}: {error}")
    return sound, faults


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


def written_at(path: Path, rows: int | None = None) -> Written:
    """Say how far a CSV on the disk is written whole; a file that is not there is not written at all."""
    return written_and_stored(path, rows)[0]


def written_and_stored(path: Path, rows: int | None = None) -> tuple[Written, int]:
    """Say how far a CSV on the disk is written whole, for so many records at most, and how many it holds in all."""
    if not path.exists():
        return written_in(iter(()), rows)
    with opened_table(path) as file:
        return written_in(pieces(file), rows)


def torn_bytes(path: Path) -> int:
    """Count the bytes of a torn last line."""
    with opened_table(path) as file:
        whole = scan(file).whole_bytes
        return file.seek(0, os.SEEK_END) - whole


class Store(Generic[Record]):
    """One open CSV; each ``append`` is on the disk before it returns.

    The open file is the one at the path with the bytes that were written, asked before each line: an editor that saves
    under another name and renames, or a person who deletes, would else take all that follows.
    """

    def __init__(self, path: Path, kind: type[Record], metadata: bytes | None = None) -> None:
        """Open ``path`` or begin it; ``metadata`` is written beside before the first line of a new file.

        A torn tail is cut first, so that no line is ever glued to it; ``torn_beside`` is where its bytes were kept.

        Raises:
            StorageFault: it cannot be opened.
            FileFault: what is there begins with other columns.
        """
        refuse_links(path)
        self.path = path
        there = _bytes_of(path) if path.exists() else b""
        header_end = next(_line_ends(there), 0)
        _parsed(path.name, there[:header_end], kind)
        self.torn_beside = cut_torn_tail(path) if there else None
        fresh = header_end == 0
        if fresh and metadata is not None:
            write_whole(path.with_name(f"{path.name}-metadata.json"), metadata)
        there = there[: whole_length(there)]
        self._known = bytearray(there)  # all of it, should the file be taken away
        self._digest = hashlib.sha256(there)
        self._lost = False  # the file at the path is another one, and that was said
        self._rows = max(sum(1 for _ in _line_ends(there)) - 1, 0)
        flags = os.O_WRONLY | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0)
        try:
            self._handle = os.open(path, flags, 0o666)  # less the person's umask
        except OSError as error:
            raise StorageFault(
                f"{path}: cannot be opened for writing ({error.strerror}); close other programs"
            ) from None
        if fresh:
            try:
                self._write(records.header(kind))
            except StorageFault:
                os.close(self._handle)
                raise

    @property
    def written(self) -> Written:
        """How far the file is written, every line of this run included."""
        return Written(self._rows, len(self._known), self._digest.hexdigest())

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
        self._known += data
        self._digest.update(data)

    def append(self, record: Record) -> None:
        """Write one record and sync it.

        Raises:
            StorageFault: it cannot be written, or the file at the path is not the one that was written any more; then
                all that was read, this record too, is kept beside.
        """
        line = records.record_line(record)
        self._hold_against_path(line)
        self._write(line)
        self._rows += 1

    def _hold_against_path(self, line: bytes = b"") -> None:
        """Stop where the file at the path is not the open one with the bytes that were written; said once."""
        if self._lost and not line:
            return
        try:
            at_path, open_file = self.path.stat(), os.fstat(self._handle)
        except OSError:
            what = "was deleted or moved"
        else:
            if (at_path.st_dev, at_path.st_ino) != (open_file.st_dev, open_file.st_ino):
                what = "was replaced"
            elif at_path.st_size != len(self._known):
                what = "was changed"
            else:
                return
        self._lost = True
        beside = self._keep_beside(line)
        raise StorageFault(
            f"{self.path}: {what} by another program while it was written, so nothing more is added to it; "
            f"{self._rows + bool(line)} readings were kept in {beside.name}: close that program, "
            f"put that file in the place of {self.path.name}, and 'panelwear resume' goes on"
        )

    def _keep_beside(self, line: bytes) -> Path:
        beside = _free_name(self.path, "kept")
        write_whole(beside, bytes(self._known) + line)
        return beside

    def close(self) -> None:
        """Let the file go; ``StorageFault`` where it was taken away since the last line."""
        try:
            self._hold_against_path()
        finally:
            os.close(self._handle)

    def __enter__(self) -> Store[Record]:
        return self

    def __exit__(self, kind: type[BaseException] | None, *_: Any) -> None:
        try:
            self.close()
        except StorageFault:
            if kind is None:  # else what went wrong first is what a person is told
                raise
