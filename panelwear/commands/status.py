"""Say where a panel stands: checkpoints, what is open, what is due, and what to do next. Nothing is changed."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.telling.out import tell
from panelwear.telling.parts import EMPTY, Column, Part, Prose, aside, grid, paragraphs

if TYPE_CHECKING:
    from panelwear.upkeep.status import CheckpointStanding, PanelStatus

_MOST_PROBLEMS = 5


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument(
        "directory", metavar="DIR", type=Path, nargs="?", default=Path(), help="panel folder (default: this one)"
    )
    parser.add_argument("--json", action="store_true", help="everything as JSON")


def run(arguments: argparse.Namespace) -> int:
    """Print it."""
    from groundwork.clock import RealClock
    from panelwear.folder.panel import load_panel
    from panelwear.upkeep.status import status_of

    found = status_of(load_panel(arguments.directory), RealClock().utc().date())
    if arguments.json:
        print(json.dumps(found.as_json(), ensure_ascii=False, indent=1))
        return 0
    tell(parts_of(found), quiet=arguments.quiet)
    return 0


def parts_of(found: PanelStatus) -> list[Part]:
    """Lay it out."""
    said = aside(Prose(f"{found.panel}, {found.width_px} x {found.height_px} px"), EMPTY)
    if found.checkpoints:
        said += aside(grid(_COLUMNS, [_checkpoint(one) for one in found.checkpoints]))
    elif not found.lost:
        said += aside(Prose("no checkpoint yet"))
    if found.lost:
        said += aside(Prose(f"cannot be read: {', '.join(found.lost)}"))
    if found.set_aside:
        said += aside(Prose(f"set aside: {', '.join(found.set_aside)}"))
    if found.remarks:
        said += [*aside(EMPTY), *paragraphs(*found.remarks)]
    if found.problems:
        more = len(found.problems) - _MOST_PROBLEMS
        said += [
            *aside(EMPTY),
            Prose("not as it was written:"),
            *paragraphs(*found.problems[:_MOST_PROBLEMS], indent=2),
        ]
        said += [Prose(f"and {more} more", 2)] if more > 0 else []
    return [*said, *aside(EMPTY), Prose(f"next: {found.next_step}")]


_COLUMNS = (
    Column("checkpoint", breaks=False),
    Column("use", "h", number=True),
    Column("cycles", number=True),
    Column("readings", number=True),
    Column("state"),
    Column("sessions"),
)


def _checkpoint(one: CheckpointStanding) -> tuple[str, ...]:
    cycles = "unknown" if one.cycles is None else str(one.cycles)
    state = "closed" if one.is_closed else "open"
    sessions = ", ".join(s.sequence if s.is_done else f"{s.sequence} (interrupted)" for s in one.sessions)
    return (one.name, _use(one), cycles, f"{one.readings:,}", state, sessions or "nothing begun")


def _use(one: CheckpointStanding) -> str:
    from panelwear.folder.hours import between_words

    words = between_words(one.hours_low, one.hours_high).removesuffix(" h")
    return f"{words}, {one.hours_kind}" if one.hours_kind != "read" else words
