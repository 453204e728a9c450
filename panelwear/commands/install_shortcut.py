"""Put the start screen into the desktop's menu (freedesktop.org), or take it out again."""

from __future__ import annotations

import argparse
import sys

BY_HAND = (
    "there is no menu of this kind on this system; docs/commands.md tells how to make a start-menu entry or a dock "
    "item by hand"
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("--remove", action="store_true", help="take the entry and its picture away again")


def run(arguments: argparse.Namespace) -> int:
    """Write both files, or remove them."""
    from panelwear.errors import UsageError
    from panelwear.start import shortcut
    from panelwear.telling.out import tell
    from panelwear.telling.parts import Prose, aside, paragraphs

    if sys.platform in {"win32", "darwin"}:
        raise UsageError(BY_HAND)
    data = shortcut.here()
    if arguments.remove:
        gone = shortcut.remove(data)
        tell(paragraphs(*(f"removed {path}" for path in gone)) or [Prose("there was no entry; nothing was removed")])
        return 0
    desktop, icon = shortcut.install(data, sys.executable)
    made = [f"made {desktop}", f"made {icon}", "The start screen stands in the desktop's menu as 'panelwear'."]
    tell(aside(*paragraphs(*made)), quiet=arguments.quiet)
    return 0
