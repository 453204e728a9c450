"""Many lines of a CSV at once where they are plain: no quotes, nothing but ASCII, every line with all its fields.

Nothing is decided here that the careful reader would decide otherwise: a block that is not plain, or holds a field that
does not fit its column, is given back unread.
"""

from __future__ import annotations

from collections.abc import Sequence
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
    """The fields of one column in a block: each different from the one above it once."""

    def __init__(self, padded: Bytes, begins: Whole, ends: Whole) -> None:
        lengths = ends - begins
        width = max(-(-int(lengths.max()) // 8) * 8, 8)
        cells = sliding_window_view(padded, width)[begins]
        differs = np.append(True, lengths[1:] != lengths[:-1])
        for number, eight in enumerate(cells.view(np.uint64).T):
            np.bitwise_and(eight, _FIRST[np.clip(lengths - 8 * number, 0, 8)], out=eight)
            differs[1:] |= eight[1:] != eight[:-1]
        self._heads = np.flatnonzero(differs)
        self._rows = len(begins)
        self.cells: Bytes = cells[self._heads]
        self.lengths: Whole = lengths[self._heads]

    def spread(self, values: NDArray[Any]) -> NDArray[Any]:
        """Return a value for every row of the block."""
        return np.repeat(values, np.diff(self._heads, append=self._rows))

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
    found = _fields(block, len(columns))
    if found is None:
        return None
    padded, begins, ends = found
    try:
        return [
            _part(column, _Fields(padded, a, b), words.get(column.name, {}))
            for column, a, b in zip(columns, begins, ends, strict=True)
        ]
    except ValueError:
        return None


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


def _part(column: RecordColumn, fields: _Fields, words: dict[str, int]) -> Part:
    if column.is_moment:
        return Part(fields.spread(_moments(fields)))
    if column.kind is str:
        return Part(
            fields.spread(np.array([words.setdefault(text, len(words)) for text in fields.texts()], dtype=np.uint32))
        )
    empty = fields.lengths == 0
    if column.required and empty.any():
        raise ValueError(f"column {column.name} is empty")
    values = _wholes(fields, column) if column.kind is int else _reals(fields, column)
    return Part(fields.spread(values), fields.spread(empty) if empty.any() else None)


def _moments(fields: _Fields) -> NDArray[np.float64]:
    if fields.cells.shape[1] < LENGTH:
        return np.array([since_1970(text) for text in fields.texts()], dtype=np.float64)
    values, fits = usual_form(fields.cells[:, :LENGTH])
    others = np.flatnonzero(~(fits & (fields.lengths == LENGTH)))
    values[others] = [since_1970(text) for text in fields.texts(others)]
    return values


def _reals(fields: _Fields, column: RecordColumn) -> NDArray[np.float64]:
    whole, after, usual = _decimal(fields)
    usual &= (whole <= _EXACT) & (after < len(_POWERS))
    values: NDArray[np.float64] = whole / _POWERS[np.where(usual, after, 0)]
    values = np.where(fields.cells[:, 0] == ord("-"), -values, values)
    others = np.flatnonzero(~usual)
    values[others] = [records.value_in(column, text) if text else np.nan for text in fields.texts(others)]
    return values


def _wholes(fields: _Fields, column: RecordColumn) -> Whole:
    whole, after, usual = _decimal(fields)
    usual &= (after == 0) & (fields.cells != ord(".")).all(axis=1)
    values = np.where(fields.cells[:, 0] == ord("-"), -whole, whole)
    others = np.flatnonzero(~usual)
    values[others] = [records.value_in(column, text) if text else 0 for text in fields.texts(others)]
    return values


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
