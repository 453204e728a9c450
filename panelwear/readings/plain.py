"""Many lines of a CSV at once where they are plain: no quotes, nothing but ASCII, every line with all its fields.

Nothing is decided here that the careful reader would decide otherwise: a block that is not plain, or holds a field that
does not fit its column, is given back unread.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from panelwear.readings import records
from panelwear.readings.columns import RecordColumn
from panelwear.readings.instants import LENGTH, since_1970, usual_form
from panelwear.readings.parts import Part, Words

Bytes = NDArray[np.uint8]
Whole = NDArray[np.int64]

WIDEST = 512
"""Characters of the longest field that is read here."""
_FIRST = np.frombuffer(b"".join(b"\xff" * n + b"\0" * (8 - n) for n in range(9)), np.uint64)
"""Masks that keep the first 0 to 8 of eight characters."""
_MOST_DIGITS = 18
"""More do not fit 64 bits."""
_EXACT = 2**53
"""Whole numbers up to it, and powers of ten up to 10^22, are exact; their quotient is then the nearest float, as
``float`` gives it (Clinger 1990, "How to read floating point numbers accurately")."""
_POWERS = np.array([float(10**n) for n in range(23)])


class _Fields:
    """The fields of a column in a block, or of several one after another: each different from the one before once."""

    def __init__(self, padded: Bytes, begins: Whole, ends: Whole) -> None:
        """Find them by where they begin and end, ``(columns, rows)``."""
        self._rows: int = begins.shape[1]
        begins, lengths = begins.ravel(), (ends - begins).ravel()
        width = max(-(-int(lengths.max()) // 8) * 8, 8)
        cells = sliding_window_view(padded, width)[begins]
        differs = np.append(True, lengths[1:] != lengths[:-1])
        for number, eight in enumerate(cells.view(np.uint64).T):
            np.bitwise_and(eight, _FIRST[np.clip(lengths - 8 * number, 0, 8)], out=eight)
            differs[1:] |= eight[1:] != eight[:-1]
        differs[:: self._rows] = True
        self._heads = np.flatnonzero(differs)
        self.cells: Bytes = cells[self._heads]
        self.lengths: Whole = lengths[self._heads]
        self._cells = len(lengths)

    def column_of(self, field: int) -> int:
        """Return which column a field stands in."""
        return int(self._heads[field]) // self._rows

    def spread(self, values: NDArray[Any]) -> NDArray[Any]:
        """Return a value for every row of every column, ``(columns, rows)``."""
        return np.repeat(values, np.diff(self._heads, append=self._cells)).reshape(-1, self._rows)

    def texts(self, which: NDArray[np.intp] | slice = slice(None)) -> list[str]:
        """Return the fields as text, or some of them."""
        chosen = np.ascontiguousarray(self.cells[which])
        return [str(text, "ascii") for text in chosen.view(f"S{chosen.shape[1]}").ravel().tolist()]


def plain_block(block: bytes, columns: Sequence[RecordColumn], words: Words) -> list[Part] | None:
    """Read whole lines column by column; ``None`` where they are not plain.

    Args:
        block: at least one line, ended by its line feed.
        columns: of the record, at least two.
        words: texts seen so far in each column and their numbers; new ones are added.
    """
    where = _fields(block, len(columns))
    if where is None:
        return None
    padded, begins, ends = where
    try:
        found: dict[str, Part] = {}
        for which in _alike(columns):
            fields = _Fields(padded, begins[which], ends[which])
            found |= _parts([columns[i] for i in which], fields, words)
    except ValueError:
        return None
    return [found[column.name] for column in columns]


def _alike(columns: Sequence[RecordColumn]) -> list[list[int]]:
    """Return which columns are read together: those of one kind of number, as most of them are short; texts alone."""
    numbers = [[i for i, c in enumerate(columns) if c.kind is kind and not c.is_moment] for kind in (int, float)]
    alone = [[i] for i, c in enumerate(columns) if c.kind is str or c.is_moment]
    return [which for which in (*numbers, *alone) if which]


def _fields(block: bytes, columns: int) -> tuple[Bytes, Whole, Whole] | None:
    """Find where every field begins and ends, ``(columns, lines)`` each; ``None`` where the lines are not plain."""
    if not block.isascii() or b'"' in block or b"\0" in block or columns < 2:
        return None
    data = np.frombuffer(block, np.uint8)
    ends = np.flatnonzero((data == ord(",")) | (data == ord("\n")))
    if len(ends) % columns:
        return None
    by_line = ends.reshape(-1, columns)
    if (data[by_line[:, -1]] != ord("\n")).any() or block.count(b"\n") != len(by_line):
        return None
    lines, returns = len(by_line), block.count(b"\r")
    if returns and not returns == lines == int((data[by_line[:, -1] - 1] == ord("\r")).sum()):
        return None
    begins = np.concatenate([[0], ends[:-1] + 1]).reshape(lines, columns).T.copy()
    stops = by_line.T.copy()
    stops[-1] -= bool(returns)
    if int((stops - begins).max()) > WIDEST:
        return None
    return np.concatenate([data, np.zeros(WIDEST, np.uint8)]), begins, stops


def _parts(columns: Sequence[RecordColumn], fields: _Fields, words: Words) -> dict[str, Part]:
    """Read the fields of one column of text or of moments, or of several columns of one kind of number."""
    first = columns[0]
    if first.is_moment:
        return {first.name: Part(fields.spread(_moments(fields))[0])}
    if first.kind is str:
        known = words[first.name]
        codes = np.array([known.setdefault(text, len(known)) for text in fields.texts()], dtype=np.uint32)
        return {first.name: Part(fields.spread(codes)[0])}
    values = _wholes(fields, columns) if first.kind is int else _reals(fields, columns)
    found = {}
    for column, own, empty in zip(columns, fields.spread(values), fields.spread(fields.lengths == 0), strict=True):
        missing = bool(empty.any())
        if column.required and missing:
            raise ValueError(f"column {column.name} is empty")
        # Copies, so that one column can be let go before the others.
        found[column.name] = Part(own.copy(), empty.copy() if missing else None)
    return found


def _moments(fields: _Fields) -> NDArray[np.float64]:
    if fields.cells.shape[1] < LENGTH:
        return np.array([since_1970(text) for text in fields.texts()], dtype=np.float64)
    values, fits = usual_form(fields.cells[:, :LENGTH])
    others = np.flatnonzero(~(fits & (fields.lengths == LENGTH)))
    values[others] = [since_1970(text) for text in fields.texts(others)]
    return values


def _reals(fields: _Fields, columns: Sequence[RecordColumn]) -> NDArray[np.float64]:
    whole, after, usual = _decimal(fields)
    usual &= (whole <= _EXACT) & (after < len(_POWERS))
    values: NDArray[np.float64] = whole / _POWERS[np.where(usual, after, 0)]
    values = np.where(fields.cells[:, 0] == ord("-"), -values, values)
    others = np.flatnonzero(~usual)
    values[others] = [np.nan if value is None else value for value in _carefully(fields, columns, others)]
    return values


def _wholes(fields: _Fields, columns: Sequence[RecordColumn]) -> Whole:
    whole, after, usual = _decimal(fields)
    usual &= (after == 0) & (fields.cells != ord(".")).all(axis=1)
    values = np.where(fields.cells[:, 0] == ord("-"), -whole, whole)
    others = np.flatnonzero(~usual)
    values[others] = [0 if value is None else value for value in _carefully(fields, columns, others)]
    return values


def _carefully(fields: _Fields, columns: Sequence[RecordColumn], which: NDArray[np.intp]) -> Iterator[Any]:
    """Yield some of the fields as the careful reader reads them, ``None`` of an empty one."""
    for field, text in zip(which.tolist(), fields.texts(which), strict=True):
        yield records.value_in(columns[fields.column_of(field)], text) if text else None


def _decimal(fields: _Fields) -> tuple[Whole, Whole, NDArray[np.bool_]]:
    """Read digits with one point at most: all digits as a whole number, those behind the point, and where it is so."""
    cells = np.ascontiguousarray(fields.cells[:, : max(int(fields.lengths.max()), 1)].T)
    digit, point = (cells - np.uint8(48)) < 10, cells == ord(".")
    odd = ~(digit | point | (cells == 0))
    odd[0] &= cells[0] != ord("-")
    count, points = digit.sum(axis=0), point.sum(axis=0)
    usual = ~odd.any(axis=0) & (points <= 1) & (count > 0) & (count <= _MOST_DIGITS)
    whole = np.zeros(cells.shape[1], dtype=np.int64)
    for there, cell in zip(digit, cells, strict=True):
        whole = np.where(there, whole * 10 + (cell - np.uint8(48)), whole)
    after = np.where(points > 0, fields.lengths - 1 - point.argmax(axis=0), 0)
    return whole, after, usual
