"""Close a checkpoint: its files are checksummed and never edited again. Mistakes found later go to amendments."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.telling.out import tell
from panelwear.telling.parts import Prose
from panelwear.telling.words import counted

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
            said = f"{found.name}: amendment stored; the readings stay as they were read"
            tell([Prose(said, aside=True)], quiet=arguments.quiet)
            return 0
        if not arguments.as_it_is:
            _refuse_unfinished(found)
            _refuse_faulty(found)
        found.close(now)
    files = counted(len(found.record["digests_at_close"]), "file")
    said = f"{found.name}: closed, {files} checksummed (SHA-256); it is not edited any more"
    tell([Prose(said, aside=True)], quiet=arguments.quiet)
    return 0


def _refuse_unfinished(found: Checkpoint) -> None:
    """Refuse to seal an inspection, or photographs, that can still be gone on with."""
    from panelwear.errors import UsageError
    from panelwear.folder.record import is_interrupted
    from panelwear.folder.shoots import unfinished_shoot

    if shoot := unfinished_shoot(found.directory):
        taken = sum(one.is_done for one in shoot.shots)
        raise UsageError(
            f"{found.name}: {shoot.shoot} was interrupted, {taken} of {len(shoot.shots)} photographs are taken; "
            "'panelwear camera shoot' goes on with it, or close it as it is with --as-it-is"
        )
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
