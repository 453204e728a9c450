"""What can be said on a terminal: prose, tables, and lines that stay as they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Prose:
    """A paragraph, broken between words where the line ends; the empty one is an empty line."""

    text: str
    indent: int = 0
    """Columns before its first line."""
    hang: int = 2
    """Columns more before the others."""
    aside: bool = False
    """Whether it is left out where only what was asked for is wanted (``--quiet``)."""


@dataclass(frozen=True, slots=True)
class Exactly:
    """Lines that are never broken: a drawing, a path, what is to be copied."""

    lines: tuple[str, ...]
    aside: bool = False


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table."""

    title: str = ""
    unit: str = ""
    """Stands under the title; empty where there is none or each cell has its own."""
    number: bool = False
    """Numbers stand at the right."""
    optional: bool = False
    """Left out where the line has no room for it; what is left out is told."""
    breaks: bool = True
    """Whether its cells may be broken between words."""
    at_least: int = 0
    """Columns of the line it takes whatever is in it, for rows that are written one by one."""


@dataclass(frozen=True, slots=True)
class Grid:
    """A table: rows of cells under columns. A cell that begins with spaces stands that much further in."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    indent: int = 0
    otherwise: str = ""
    """Where else optional columns stand, told where they are left out."""
    strong: frozenset[int] = frozenset()
    """Numbers of the rows, from 0, that matter most: bold on a terminal."""
    aside: bool = False


Part = Prose | Exactly | Grid

EMPTY = Prose("")
"""An empty line."""


def grid(columns: Sequence[Column | str], rows: Sequence[Sequence[str]], indent: int = 0, otherwise: str = "") -> Grid:
    """Make a table; a bare word is a column's title."""
    made = tuple(Column(c) if isinstance(c, str) else c for c in columns)
    return Grid(made, tuple(tuple(row) for row in rows), indent, otherwise)


def one_more(columns: Sequence[Column], cells: Sequence[str]) -> Grid:
    """Make one row below a table that was begun with these columns, each of which has its ``at_least``."""
    return Grid(tuple(replace(column, title="", unit="") for column in columns), (tuple(cells),))


def aside(*parts: Part) -> list[Part]:
    """Mark what is left out where only what was asked for is wanted."""
    return [replace(part, aside=True) for part in parts]


def paragraphs(*sentences: str, indent: int = 0, hang: int = 2) -> list[Part]:
    """Make a paragraph of each sentence; one that begins with spaces stands that much further in."""
    inner = [(s.lstrip(" "), len(s) - len(s.lstrip(" "))) for s in sentences]
    return [Prose(text, indent + more, hang) for text, more in inner]
