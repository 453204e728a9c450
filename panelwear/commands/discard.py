"""Set a checkpoint aside: it is moved whole to set-aside/, no command counts it, and --undo puts it back."""

from __future__ import annotations

import argparse
from pathlib import Path


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder")
    parser.add_argument("checkpoint", metavar="CHECKPOINT", nargs="?", help="its name; without it: what is set aside")
    parser.add_argument("--why", metavar="TEXT", help="why; always needed but with --undo")
    parser.add_argument("--by", metavar="NAME", help="who says so (the name you are logged in under)")
    parser.add_argument("--undo", action="store_true", help="put it back where it was")


def run(arguments: argparse.Namespace) -> int:
    """Move it there or back."""
    from groundwork.clock import RealClock
    from panelwear.commands.parsing import who
    from panelwear.errors import UsageError
    from panelwear.folder import set_aside
    from panelwear.folder.lock import hold
    from panelwear.telling.out import tell
    from panelwear.telling.parts import Prose, paragraphs

    panel_dir: Path = arguments.directory
    quiet: bool = arguments.quiet
    with hold(panel_dir):
        if arguments.checkpoint is None:
            lying = set_aside.lying_there(panel_dir)
            tell(paragraphs(*(one.told() for one in lying)) or [Prose(f"{panel_dir}: nothing is set aside")])
            return 0
        now = RealClock().utc()
        if arguments.undo:
            back = set_aside.put_back(panel_dir, arguments.checkpoint, now)
            tell([Prose(f"{back.checkpoint}: is back in checkpoints/ and counts again", aside=True)], quiet=quiet)
            return 0
        why = (arguments.why or "").strip()
        if not why:
            raise UsageError("--why TEXT: say why it is set aside, as the report will")
        was_first = _first(panel_dir)
        gone = set_aside.discard(panel_dir, arguments.checkpoint, why=why, by=arguments.by or who(), now=now)
        said = f"{gone.checkpoint}: lies in {set_aside.FOLDER}/{gone.folder} and counts no more; --undo puts it back"
        tell([Prose(said, aside=True)], quiet=quiet)
        first = _first(panel_dir)
        if first and first != was_first:
            tell([Prose(f"{first} is the baseline from now on")])
    return 0


def _first(panel_dir: Path) -> str:
    """Name the baseline, as far as checkpoints can be read."""
    from panelwear.folder.checkpoint import survey

    found = survey(panel_dir)[0]
    return found[0].name if found else ""
