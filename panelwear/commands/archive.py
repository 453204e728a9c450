"""Collect many panel folders into one Parquet dataset that any engine reads."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.commands.parsing import place
from panelwear.telling.out import tell
from panelwear.telling.parts import Prose
from panelwear.telling.progress import bar
from panelwear.telling.words import counted

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from panelwear.archive.finding import Found

TOLD = 20
"""Folders that are told on the terminal one by one."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("root", metavar="ROOT", type=Path, help="folder below which panel folders lie")
    parser.add_argument("--out", metavar="FOLDER", type=place, help="where to (archive in ROOT)")
    add_engine(parser)


def add_engine(parser: argparse.ArgumentParser) -> None:
    """Declare where many panels are worked on."""
    parser.add_argument("--jobs", metavar="N", type=int, help="processes on this machine (one a core)")
    parser.add_argument(
        "--engine", choices=("pool", "dask"), default="pool", help="on this machine, or on a cluster (pool)"
    )
    parser.add_argument(
        "--scheduler", metavar="ADDRESS", default="", help="with --engine dask: of the cluster's scheduler"
    )


def run(arguments: argparse.Namespace) -> int:
    """Collect them; exit code 3 when a folder was left out, or something of it is not as it was written."""
    from panelwear.archive.engines import engine_of
    from panelwear.errors import NotAsWritten
    from panelwear.extras import needed

    needed("panelwear archive", "pyarrow")
    engine = engine_of(arguments.engine, arguments.scheduler, arguments.jobs)
    from panelwear.archive.collecting import collect

    found = panels_below(arguments.root)
    out = arguments.out or arguments.root / "archive"
    with bar(quiet=arguments.quiet) as shown:
        came = collect(
            found, out, engine, lambda n: shown.share(n / len(found), f"{n:,} of {counted(len(found), 'panel')}")
        )
    say_left_out(came.left_out, "left out")
    say_left_out(came.faulty, "not as it was written")
    told = f"{out}: {counted(came.new, 'panel')} added, {came.same:,} there already, {len(came.left_out):,} left out"
    tell([Prose(told)])
    return NotAsWritten.exit_code if came.left_out or came.faulty else 0


def panels_below(root: Path) -> list[Found]:
    """Return the panel folders below a root; ``UsageError`` where there is none."""
    from panelwear.archive.finding import panel_folders
    from panelwear.archive.ledger import MARKS
    from panelwear.errors import UsageError

    found = [*panel_folders(root, MARKS)]
    if not found:
        raise UsageError(f"{root}: there is no panel folder below it (a folder with a panel.toml)")
    return found


def say_left_out(listed: Mapping[str, Sequence[str]], what: str) -> None:
    """Say which panels something is wrong with, each with its first sentence."""
    for key, problems in sorted(listed.items())[:TOLD]:
        more = f" (and {len(problems) - 1} more)" if len(problems) > 1 else ""
        tell([Prose(f"{key}: {what}: {problems[0]}{more}")])
    if len(listed) > TOLD:
        tell([Prose(f"and {counted(len(listed) - TOLD, 'more panel')} {what}")])
