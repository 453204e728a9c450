"""Write checkpoints as files for other programs: ISO 28178 text, Parquet, a spreadsheet."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.commands.parsing import folder_to_write
from panelwear.telling.out import tell
from panelwear.telling.parts import Prose
from panelwear.telling.words import counted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from panelwear.figures.evidence import Evidence
    from panelwear.figures.load import Loaded


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder (panelwear new)")
    parser.add_argument("checkpoint", metavar="CHECKPOINT", nargs="?", help="name of one checkpoint (default: all)")
    parser.add_argument("--out", metavar="FOLDER", type=folder_to_write, help="where to (exports in the panel folder)")
    parser.add_argument(
        "--format", metavar="LIST", default="cgats,parquet,xlsx", help="some of cgats,parquet,xlsx (all three)"
    )
    parser.add_argument("--as-it-is", action="store_true", help="export checkpoints that were changed afterwards too")


def run(arguments: argparse.Namespace) -> int:
    """Write them and say where they are; exit code 3 when a stored file is not as it was written."""
    from panelwear.archive import exporting
    from panelwear.errors import NotAsWritten
    from panelwear.figures.load import load_panel_evidence
    from panelwear.folder.panel import load_panel

    formats = _formats(arguments.format)
    panel = load_panel(arguments.directory)
    loaded = load_panel_evidence(arguments.directory, as_it_is=arguments.as_it_is)
    for sentence in loaded.faults:
        tell([Prose(f"{sentence}.")])
    out = arguments.out or arguments.directory / "exports"
    wanted = [exporting.prepared(panel, e, loaded.faults) for e in _chosen(loaded, arguments.checkpoint)]
    for one in wanted:  # asked of all before the first is written
        exporting.paths_of(one, out, formats)
    files = [path for one in wanted for path in exporting.write(one, out, formats)]
    tell(
        [Prose(f"{out}: {counted(len(files), 'file')} of {counted(len(wanted), 'checkpoint')}, {files[0].name} first")]
    )
    return NotAsWritten.exit_code if loaded.faults else 0


def _formats(words: str) -> tuple[str, ...]:
    from panelwear.archive.exporting import FORMATS
    from panelwear.errors import UsageError
    from panelwear.extras import needed

    listed = tuple(dict.fromkeys(word.strip() for word in words.split(",") if word.strip()))
    unknown = [word for word in listed if word not in FORMATS]
    if unknown or not listed:
        raise UsageError(f"--format {words}: wanted some of {', '.join(FORMATS)}, with commas between them")
    for name in listed:
        if FORMATS[name][1]:
            needed(f"--format {name}", FORMATS[name][1])
    return listed


def _chosen(loaded: Loaded, name: str | None) -> Sequence[Evidence]:
    from panelwear.errors import NotAsWritten, UsageError

    read = [e for e in loaded.checkpoints if e.stored]
    if name is None:
        if not read and loaded.out:
            raise NotAsWritten((*loaded.faults, "no other checkpoint holds readings, so there is nothing to export"))
        if not read:
            raise UsageError("there is no checkpoint with readings; 'panelwear inspect' makes the first one")
        return read
    if name in loaded.out:
        raise UsageError(f"{loaded.out[name]}; --as-it-is exports it nonetheless, as far as it can be read")
    mine = [e for e in read if e.name == name]
    if not mine:
        there = ", ".join(e.name for e in read) or "none"
        raise UsageError(f"there is no checkpoint '{name}' with readings; there are {there}")
    return mine
