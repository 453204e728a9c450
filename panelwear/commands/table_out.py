"""One table as CSV: to the terminal, or to a file with what its columns mean beside it."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING

from panelwear.errors import UsageError
from panelwear.telling.out import tell
from panelwear.telling.parts import Prose
from panelwear.telling.words import counted

if TYPE_CHECKING:
    from pathlib import Path

    from panelwear.compare.tables import CsvTable


def write_table(table: CsvTable, out: Path | None, what: str, *, quiet: bool) -> None:
    """Write a table.

    Args:
        table: of a command.
        out: the file, with CSVW metadata beside it; ``None``: the terminal.
        what: its table of what, such as ``a comparison``: a file that is no such table is left alone.
        quiet: whether where it went is left unsaid.
    """
    if out is None:
        sys.stdout.write(table.csv())
        return
    from panelwear.atomic import refuse_foreign, write_whole

    begins, kind = table.csv().partition("\r\n")[0].encode(), f"table '{table.name}' of {what}"
    refuse_foreign(out, lambda head: head.startswith(begins), kind)
    beside = out.with_name(f"{out.name}-metadata.json")
    refuse_foreign(beside, _is_csvw, "CSVW metadata")
    write_whole(out, table.csv().encode())
    write_whole(beside, table.csvw(out.name))
    said = f"{out}: {counted(len(table.rows), 'row')}; its columns with their units in {beside}"
    tell([Prose(said, aside=True)], quiet=quiet)


def write_one_of(tables: Mapping[str, CsvTable], name: str, out: Path | None, what: str, *, quiet: bool) -> None:
    """Write the table that was asked for; ``UsageError`` where there is no such one."""
    if name not in tables:
        raise UsageError(f"--csv {name}: there is no such table; there are {', '.join(tables)}")
    write_table(tables[name], out, what, quiet=quiet)


def _is_csvw(head: bytes) -> bool:
    return b"http://www.w3.org/ns/csvw" in head
