"""Close a checkpoint: its files are digested and never edited again. Mistakes found later go to amendments."""

from __future__ import annotations

import argparse
from pathlib import Path


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder")
    parser.add_argument("--checkpoint", metavar="NAME", help="which one (default: the open one)")
    parser.add_argument("--amend", metavar="TEXT", help="add a correction to amendments.json of a closed checkpoint")


def run(arguments: argparse.Namespace) -> int:
    """Close, or add an amendment."""
    from panelwear.clock import RealClock
    from panelwear.folder import amendments, checkpoint
    from panelwear.folder.lock import hold

    with hold(arguments.directory):
        found = checkpoint.find(arguments.directory, arguments.checkpoint)
        now = RealClock().utc()
        if arguments.amend:
            amendments.add(found, arguments.amend, now)
            print(f"{found.name}: amendment stored; the readings stay as they were read")
            return 0
        found.close(now)
    files = len(found.record["digests_at_close"])
    print(f"{found.name}: closed, {files} files digested; it is not edited any more")
    return 0
