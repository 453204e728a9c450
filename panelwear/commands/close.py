"""Close a checkpoint: its files are checksummed and never edited again. Mistakes found later go to amendments."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from panelwear.folder.checkpoint import Checkpoint


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder")
    parser.add_argument("--checkpoint", metavar="NAME", help="which one (default: the open one)")
    parser.add_argument(
        "--as-it-is", action="store_true", help="close although a session was interrupted or a file has faults"
    )
    parser.add_argument("--amend", metavar="TEXT", help="add a correction to amendments.json of a closed checkpoint")


def run(arguments: argparse.Namespace) -> int:
    """Close, or add an amendment."""
    from groundwork.clock import RealClock
    from panelwear.folder import checkpoint
    from panelwear.folder.lock import hold

    with hold(arguments.directory):
        found = checkpoint.find(arguments.directory, arguments.checkpoint)
        now = RealClock().utc()
        if arguments.amend:
            found.amend(arguments.amend, now)
            print(f"{found.name}: amendment stored; the readings stay as they were read")
            return 0
        if not arguments.as_it_is:
            _refuse_unfinished(found)
            _refuse_faulty(found)
        found.close(now)
    files = len(found.record["digests_at_close"])
    print(f"{found.name}: closed, {files} files checksummed; it is not edited any more")
    return 0


def _refuse_unfinished(found: Checkpoint) -> None:
    """Refuse to seal an inspection that can still be gone on with."""
    from panelwear.errors import UsageError
    from panelwear.folder.record import is_interrupted

    last = found.record["sessions"][-1:]
    if not last or not is_interrupted(last[0]):
        return
    aside = sorted(path.name for path in found.directory.glob("readings.set-aside-*.csv"))
    kept = f"; rows of an unfinished visit lie in {', '.join(aside)}" if aside else ""
    raise UsageError(
        f"{found.name}: session {last[0]['number']} ('{last[0]['sequence']}') was interrupted{kept}; "
        "'panelwear resume' finishes it, or close it as it is with --as-it-is"
    )


def _refuse_faulty(found: Checkpoint) -> None:
    """Refuse to seal files that are not as they were written: sealed, they would count as evidence."""
    from panelwear.errors import FileFault
    from panelwear.upkeep.check import check

    problems = check(found.directory).problems
    if problems:
        raise FileFault((*problems, f"{found.name}: stays open; put that right, or close it as it is with --as-it-is"))
