"""The bytes of a CSV, looked at piece by piece: where its lines end, how far it is whole, whether it is UTF-8."""

from __future__ import annotations

import codecs
import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO

PIECE = 1 << 21
"""Bytes that are held at once."""


class Lines:
    """Finds line ends in pieces that follow one another: every line feed outside quotes is one."""

    def __init__(self) -> None:
        self._quoted = False

    def ends(self, piece: bytes) -> Iterator[int]:
        """Yield where in the next piece each line ends: behind its line feed; to be used up."""
        position = 0
        while (found := piece.find(b"\n", position)) >= 0:
            self._quoted ^= piece.count(b'"', position, found) % 2 == 1
            position = found + 1
            if not self._quoted:
                yield position
        self._quoted ^= piece.count(b'"', position) % 2 == 1

    def last_end(self, piece: bytes) -> tuple[int, int]:
        """Return how many lines end in the next piece, and where the last does; 0 where none does."""
        if not self._quoted and b'"' not in piece:
            return piece.count(b"\n"), piece.rfind(b"\n") + 1
        ends = [*self.ends(piece)]
        return len(ends), ends[-1] if ends else 0


@dataclass(frozen=True, slots=True)
class Scanned:
    """What a look at all bytes of a CSV tells."""

    whole_bytes: int
    """Length of the longest beginning of whole lines; all after it is torn."""
    lines: int
    """Whole lines, the header among them."""
    not_utf8_at: int | None
    """Where in the whole lines the first byte is that is no UTF-8."""


def pieces(file: BinaryIO, most: int | None = None) -> Iterator[bytes]:
    """Yield the next bytes of a file, a piece at a time, to its end or so many at most."""
    left = most
    while piece := file.read(PIECE if left is None else min(PIECE, left)):
        yield piece
        left = None if left is None else left - len(piece)


def scan(file: BinaryIO) -> Scanned:
    """Look at a whole file."""
    lines, whole, count, offset = Lines(), 0, 0, 0
    bad: int | None = None
    text = Utf8()
    for piece in pieces(file):
        more, end = lines.last_end(piece)
        count += more
        whole = offset + end if end else whole
        bad = text.first_fault(piece) if bad is None else bad
        offset += len(piece)
    return Scanned(whole, count, bad if bad is not None and bad < whole else None)


class Utf8:
    """Looks for the first byte that is no UTF-8 in pieces that follow one another."""

    def __init__(self) -> None:
        self._held = b""
        self._offset = 0

    def first_fault(self, piece: bytes) -> int | None:
        """Return where, counted from the first piece, the next piece holds a byte that is none."""
        data = self._held + piece
        begin = self._offset - len(self._held)
        self._offset += len(piece)
        self._held = b""
        if data.isascii():
            return None
        try:
            used = codecs.utf_8_decode(data, "strict", False)[1]
        except UnicodeDecodeError as error:
            return begin + error.start
        self._held = data[used:]
        return None


@dataclass(frozen=True, slots=True)
class Written:
    """How far a CSV was written: what its beginning must be, whatever was added behind it later."""

    rows: int
    """Whole records, the header not counted."""
    size_bytes: int
    sha256: str
    """Of the first ``size_bytes`` bytes."""


def written_in(data: Iterator[bytes], rows: int | None = None) -> tuple[Written, int]:
    """Say how far the bytes of a CSV are written whole, to the end or for so many records at most.

    Returns:
        That, and how many whole records there are in all.
    """
    lines, digest, at_end = Lines(), hashlib.sha256(), hashlib.sha256()
    wanted = None if rows is None else rows + 1
    count = kept = size = offset = 0
    for piece in data:
        before = count
        if wanted is None or before + piece.count(b"\n") < wanted:  # the last line that is kept does not end here
            more, end = lines.last_end(piece)
            kept = count = before + more
        else:
            ends = [*lines.ends(piece)]
            count += len(ends)
            mine = ends[: max(wanted - before, 0)]
            kept, end = kept + len(mine), mine[-1] if mine else 0
        if end:
            at_end = digest.copy()
            at_end.update(piece[:end])
            size = offset + end
        digest.update(piece)
        offset += len(piece)
    return Written(max(kept - 1, 0), size, at_end.hexdigest()), max(count - 1, 0)
