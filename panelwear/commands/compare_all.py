"""``compare --all``: every panel below a folder, ranked and put into groups."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from panelwear.commands.archive import panels_below, say_left_out
from panelwear.telling.out import tell
from panelwear.telling.parts import EMPTY, Column, Prose, grid
from panelwear.telling.progress import bar
from panelwear.telling.words import counted

if TYPE_CHECKING:
    from panelwear.archive.many import Verdicts
    from panelwear.telling.parts import Part

FIRST = 10
"""Panels of the ranking that are told on the terminal."""
ALONE = {"--from": "since", "--to": "until", "--forecast": "forecast", "--as-it-is": "as_it_is", "--json": "json",
         "--csv": "csv"}  # fmt: skip
"""Options that are for one panel."""


def run_all(arguments: argparse.Namespace) -> int:
    """Compare them and say which changed most; exit code 3 when one was left out, or is not as it was written."""
    from panelwear.archive.engines import engine_of
    from panelwear.errors import NotAsWritten, UsageError

    for option, name in ALONE.items():
        if getattr(arguments, name):
            raise UsageError(f"{option}: does not go with --all, which compares every panel since its own baseline")
    engine = engine_of(arguments.engine, arguments.scheduler, arguments.jobs)
    from panelwear.archive.many import compare_all
    from panelwear.report.many import write_page

    found = panels_below(arguments.directory)
    out = arguments.out or arguments.directory / "comparison"
    many = counted(len(found), "panel")
    with bar(quiet=arguments.quiet) as shown:

        def say(done: int) -> None:
            shown.share(done / len(found), f"{done:,} of {many}")

        done = compare_all(found, out, engine, arguments.level, say)
    page, came = write_page(done, arguments.directory, out), done.came
    say_left_out(came.left_out, "left out")
    say_left_out(came.faulty, "not as it was written")
    tell(_told(done), quiet=arguments.quiet)
    counts = f"{counted(came.new, 'panel')} compared, {came.same:,} compared before, {len(came.left_out):,} left out"
    tell([Prose(f"{page}: {counts}; all of it in tables beside it")])
    return NotAsWritten.exit_code if came.left_out or came.faulty else 0


def _told(done: Verdicts) -> list[Part]:
    """Return the first panels of the ranking, and what is not written for want of a library."""
    from panelwear.extras import is_there, to_install
    from panelwear.uncertainty.formatting import NONE

    heads = ("panel", "verdict", "furthest since the baseline", Column("change ±", breaks=False))
    names = ("panel", "verdict", "largest_caption", "largest_told")
    rows = [[one.get(name, NONE) for name in names] for one in done.ranking[:FIRST]]
    parts: list[Part] = [grid(heads, rows), EMPTY] if rows else []
    if not is_there("pyarrow"):
        parts.append(Prose(f"No Parquet is written; {to_install('pyarrow')}.", aside=True))
    return parts
