"""Parts laid out as lines of a given width: pure, so that no test needs a terminal.

Nothing is cut off: what does not fit is broken between words, or within one where a word alone is too long; a path, an
address and what ``Exactly`` holds are left whole and may stand over. A number stays with its unit, and a command in
quotation marks on one line.
"""

from __future__ import annotations

import io
import re
import textwrap
from collections.abc import Collection, Iterable, Sequence
from functools import cache
from typing import TYPE_CHECKING

from groundwork.documents import printable
from panelwear.telling.parts import Column, Exactly, Grid, Part, Prose
from panelwear.telling.words import bound

if TYPE_CHECKING:
    from rich.console import Console

GAP = 2
"""Columns between two columns of a table."""
NARROWEST = 18
"""A column of words is not made narrower than this, or than its longest word."""
ROOMY = 30
"""Nor than this for the sake of columns that are optional."""
_GLUE = "\ue000"
"""Stands for a space that is no place to break at; of the private area, so no text has it."""
_COMMAND = re.compile(r"'panelwear [^'\n]{1,60}'")


def text_of(parts: Iterable[Part], width: int, *, styled: bool = False) -> str:
    """Lay parts out.

    Args:
        parts: what is said, in its order.
        width: columns of a line.
        styled: set heads of tables and rows that matter in bold, with the sequences a terminal understands (ECMA-48).
    """
    return "\n".join(line for part in parts for line in lines_of(part, width, styled=styled))


def lines_of(part: Part, width: int, *, styled: bool = False) -> list[str]:
    """Lay one part out as lines without ends."""
    if isinstance(part, Exactly):
        return [printable(line) for line in part.lines]
    if isinstance(part, Prose):
        return prose(part.text, width, part.indent, part.hang)
    return _table(part, width, styled)


def prose(text: str, width: int, indent: int = 0, hang: int = 0) -> list[str]:
    """Break a paragraph; lines that are set in it stay lines."""
    broken: list[str] = []
    for line in text.split("\n"):
        begins = " " * (indent + (hang if broken else 0))
        broken += textwrap.wrap(
            _glued(printable(line)),
            width,
            initial_indent=begins,
            subsequent_indent=" " * (indent + hang),
            break_long_words=False,
            break_on_hyphens=False,
        ) or [""]
    return [line.replace(_GLUE, " ") for line in broken]


def _table(part: Grid, width: int, styled: bool) -> list[str]:
    columns, room = part.columns, width - part.indent
    rows = [[_glued(printable(cell), column) for cell, column in zip(row, columns, strict=True)] for row in part.rows]
    if spoken := [n for n, column in enumerate(columns) if not _is_silent(column, [row[n] for row in rows])]:
        columns, rows = tuple(columns[n] for n in spoken), [[row[n] for n in spoken] for row in rows]
    needed = _least(columns, rows, ROOMY)
    left_out = [c.title for c in columns if c.optional] if needed > room else []
    if left_out:
        # All of them or none: half of them would tell little.
        kept = [n for n, c in enumerate(columns) if not c.optional]
        columns, rows = tuple(columns[n] for n in kept), [[row[n] for n in kept] for row in rows]
    if _least(columns, rows) > room:
        lines = _below_each_other(columns, rows, part.indent, width)
    else:
        lines = _side_by_side(columns, rows, room, part.strong, styled=styled)
        lines = [f"{' ' * part.indent}{line}".rstrip() for line in lines]
    if left_out:
        where = f"in {needed + part.indent} columns{part.otherwise and f' or {part.otherwise}'}"
        lines += prose(f"({', '.join(left_out)}: {where})", width, part.indent, 2)
    return lines


def _is_silent(column: Column, cells: Sequence[str]) -> bool:
    """Tell whether a column may be left out and says nothing; rows that come one by one keep their columns."""
    return column.optional and not column.at_least and bool(cells) and not any(cell.strip() for cell in cells)


def _least(columns: Sequence[Column], rows: Sequence[Sequence[str]], narrowest: int = NARROWEST) -> int:
    """Return the columns a table needs at least, side by side."""
    widths = []
    for n, column in enumerate(columns):
        cells = [column.title, column.unit, *(row[n] for row in rows)]
        whole = max(map(_cells, cells))
        word = max(_cells(word) + _indent(cell) for cell in cells for word in cell.split(" "))
        widths.append(min(whole, max(word, narrowest)) if column.breaks else whole)
        widths[-1] = max(widths[-1], column.at_least)
    return sum(widths) + GAP * (len(widths) - 1)


def _side_by_side(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], room: int, strong: Collection[int], *, styled: bool
) -> list[str]:
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    heads = any(c.title or c.unit for c in columns)
    made = Table(box=None, pad_edge=False, padding=(0, GAP, 0, 0), show_header=heads, header_style="bold")
    units = any(c.unit for c in columns)
    for n, c in enumerate(columns):
        cells = [c.title, c.unit, *(row[n] for row in rows)]
        least = max(_cells(word) + _indent(cell) for cell in cells for word in cell.split(" "))
        made.add_column(
            Text(f"{c.title}\n{c.unit}" if units else c.title),
            justify="right" if c.number else "left",
            overflow="fold",
            no_wrap=not c.breaks,
            min_width=max(c.at_least, min(least, NARROWEST * 2) if c.breaks else max(map(_cells, cells))),
        )
    for number, row in enumerate(rows):
        style = "bold" if number in strong else ""
        made.add_row(*(Padding(Text(cell.lstrip(" "), style), (0, 0, 0, _indent(cell))) for cell in row))
    return _rendered(made, room, styled)


def _below_each_other(columns: Sequence[Column], rows: Sequence[Sequence[str]], indent: int, width: int) -> list[str]:
    """Set each row as a heading with its cells below: a line has no room for columns."""
    lines: list[str] = []
    for row in rows:
        inner = indent + _indent(row[0])
        lines += prose(row[0].lstrip(" ").replace(_GLUE, " "), width, inner, 2)
        for column, cell in zip(columns[1:], row[1:], strict=True):
            unit = f" {column.unit}" if column.unit else ""
            title = f"{column.title}: " if column.title else ""
            if cell.strip():
                lines += prose(f"{title}{cell.strip().replace(_GLUE, ' ')}{unit}", width, inner + 2, 2)
    return lines


@cache
def _console(width: int, styled: bool = False) -> Console:
    from rich.console import Console

    # Nothing here looks at the machine: the width is given, and colours are not asked for.
    return Console(
        file=io.StringIO(), width=width, force_terminal=styled, color_system="standard" if styled else None,
        no_color=True, legacy_windows=False, highlight=False, markup=False, emoji=False, _environ={},
    )  # fmt: skip


def _rendered(made: object, width: int, styled: bool) -> list[str]:
    console = _console(width, styled)
    with console.capture() as captured:
        console.print(made)
    return captured.get().replace(_GLUE, " ").splitlines()


def _glued(text: str, column: Column | None = None) -> str:
    """Bind what must not be parted; all of a cell that may not be broken."""
    if column is not None and not column.breaks:
        inner = text.lstrip(" ")
        return " " * (len(text) - len(inner)) + inner.replace(" ", _GLUE)
    kept = _COMMAND.sub(lambda found: found[0].replace(" ", _GLUE), text)
    return bound(kept, _GLUE)


def _indent(cell: str) -> int:
    return len(cell) - len(cell.lstrip(" "))


def _cells(text: str) -> int:
    """Return the columns a text takes on a terminal; letters of East Asia take two."""
    if text.isascii():
        return len(text)
    from rich.cells import cell_len

    return cell_len(text)
