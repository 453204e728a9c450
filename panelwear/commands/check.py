"""Check any panelwear file or folder for faults: all of them at once, each with key and reason."""

from __future__ import annotations

import argparse
from pathlib import Path


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("path", metavar="PATH", type=Path, nargs="+", help="file or folder; told apart by its content")


def run(arguments: argparse.Namespace) -> int:
    """Check each path; exit code 2 when anything is wrong."""
    from panelwear.telling.out import tell
    from panelwear.telling.parts import Prose, paragraphs
    from panelwear.upkeep.check import check

    wrong = False
    for path in arguments.path:
        found = check(path)
        said = paragraphs(*found.problems, *found.remarks)
        wrong |= bool(found.problems)
        if not found.problems:
            said.append(Prose(f"{path}: {found.what}{'' if ':' in found.what else ', nothing wrong'}", aside=True))
        tell(said, quiet=arguments.quiet)
    return 2 if wrong else 0
