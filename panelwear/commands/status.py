"""Say where a panel stands: checkpoints, what is open, what is due, and what to do next. Nothing is changed."""

from __future__ import annotations

import argparse
import json
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from panelwear.upkeep.status import CheckpointStanding, PanelStatus

_MOST_PROBLEMS = 5
_WIDTH = 80


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument(
        "directory", metavar="DIR", type=Path, nargs="?", default=Path(), help="panel folder (default: this one)"
    )
    parser.add_argument("--json", action="store_true", help="everything as JSON")


def run(arguments: argparse.Namespace) -> int:
    """Print it."""
    from groundwork.clock import RealClock
    from groundwork.documents import printable_lines
    from panelwear.folder.files import expect_panel_folder
    from panelwear.folder.panel import load_panel
    from panelwear.upkeep.status import status_of

    expect_panel_folder(arguments.directory)
    found = status_of(load_panel(arguments.directory), RealClock().utc().date())
    if arguments.json:
        print(json.dumps(found.as_json(), ensure_ascii=False, indent=1))
        return 0
    print(printable_lines("\n".join(lines_of(found))))
    return 0


def lines_of(found: PanelStatus) -> list[str]:
    """Lay it out for a terminal of 80 columns."""
    lines = [f"{found.panel}, {found.width_px} x {found.height_px} px", ""]
    for one in found.checkpoints:
        lines += _checkpoint(one)
    if not found.checkpoints:
        lines.append("no checkpoint yet")
    if found.set_aside:
        lines.append(f"set aside: {', '.join(found.set_aside)}")
    if found.problems:
        lines += ["", "not as it was written:", *map(_indented, found.problems[:_MOST_PROBLEMS])]
        if len(found.problems) > _MOST_PROBLEMS:
            lines.append(f"  and {len(found.problems) - _MOST_PROBLEMS} more")
    return [*lines, "", textwrap.fill(f"next: {found.next_step}", _WIDTH, break_on_hyphens=False)]


def _indented(said: str) -> str:
    return textwrap.fill(said, _WIDTH, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False)


def _checkpoint(one: CheckpointStanding) -> list[str]:
    from panelwear.upkeep.status import counted

    hours = f"{one.hours:g} h"
    cycles = "cycles unknown" if one.cycles is None else counted(one.cycles, "cycle")
    readings = counted(one.readings, "reading")
    state = "closed" if one.is_closed else "open"
    sessions = ", ".join(s.sequence if s.is_done else f"{s.sequence} (interrupted)" for s in one.sessions)
    return [f"{one.name}  {hours}, {cycles}, {readings}, {state}", f"    {sessions or 'nothing begun'}"]
