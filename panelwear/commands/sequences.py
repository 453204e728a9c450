"""List the shipped sequences with patches, placements, minutes and light dose, or print one step by step."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.telling.out import tell
from panelwear.telling.parts import EMPTY, Column, Part, Prose, aside, grid, paragraphs

if TYPE_CHECKING:
    from sequences.model import PanelFacts
    from sequences.schema import Sequence

NOMINAL = "a nominal panel of {} x {} px, 598 mm wide, 250 cd/m², with three invented zones"
ACROSS_MM = 597.7


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Say what the command takes."""
    parser.add_argument("sequence", nargs="?", metavar="NAME|FILE", help="print the numbered steps of this one")
    parser.add_argument("--panel", type=Path, metavar="DIR", help="estimate for this panel folder, with its zones")
    parser.add_argument(
        "--size", metavar="WxH", help="estimate for a panel of this size in pixels (not together with --panel)"
    )
    parser.add_argument("--seed", type=int, default=0, help="seed of shuffled orders (default 0)")


def run(arguments: argparse.Namespace) -> int:
    """Print the list or one sequence."""
    from panelwear.guard import check_packages

    check_packages()
    from panelwear.errors import FileFault
    from sequences.errors import SequenceError

    try:
        panel, told = _panel(arguments)
        name, seed = arguments.sequence, arguments.seed
        said = _all(panel, told, seed) if name is None else _one(name, panel, told, seed)
    except SequenceError as error:
        raise FileFault(error.problems) from None
    tell(said, quiet=arguments.quiet)
    return 0


def _panel(arguments: argparse.Namespace) -> tuple[PanelFacts, str]:
    from panelwear.errors import UsageError

    if arguments.panel is not None and arguments.size is not None:
        raise UsageError("--panel and --size exclude each other; a panel folder states its own pixels")
    if arguments.panel is not None:
        from panelwear.folder.panel import facts_for, load_panel, load_probe_settings

        panel, probe = load_panel(arguments.panel), load_probe_settings(arguments.panel)
        return facts_for(
            panel, probe
        ), f"panel '{panel.name}' of {arguments.panel}, probe aperture {probe.aperture_mm:g} mm"
    if arguments.size is None:
        return _nominal(1920, 1080)
    parts = str(arguments.size).lower().split("x")
    if len(parts) != 2 or not all(part.isdecimal() and 1 <= int(part) <= 16384 for part in parts):
        raise UsageError(f"--size {arguments.size}: write width x height in pixels, such as 1920x1080, each 1 to 16384")
    return _nominal(int(parts[0]), int(parts[1]))


def _nominal(width: int, height: int) -> tuple[PanelFacts, str]:
    """Return an invented panel: a column on the left fifth and a box at the top right lie over the rest."""
    from patterns.frame import Rect
    from sequences.model import PanelFacts, Zone

    whole = Rect(0, 0, width, height)
    column = Rect(0, 0, max(width // 5, 1), height)
    box_w, box_h = max(width // 6, 1), max(height // 6, 1)
    box = Rect(width - box_w, 0, box_w, box_h)
    zones = (
        Zone("rest", whole, whole.centre),
        Zone("column", column, column.centre, "rest"),
        Zone("box", box, box.centre, "rest"),
    )
    area_mm = (ACROSS_MM, ACROSS_MM * height / width)
    return PanelFacts(width, height, area_mm, zones=zones), NOMINAL.format(width, height)


def _all(panel: PanelFacts, told: str, seed: int) -> list[Part]:
    from sequences.reader import load, shipped

    each = [load(name) for name in shipped()]
    listed = [_row(sequence, panel, seed) for sequence in each]
    rows, refused = [row for row, _ in listed if row], [said for _, said in listed if said]
    columns = (
        Column("sequence"),
        Column("patches", number=True),
        Column("holds", number=True),
        Column("placed", number=True),
        Column("reading", "min", number=True),
        Column("warm-up", "min", number=True),
        Column("dose", "h", number=True),
    )
    said: list[Part] = [Prose(f"Shipped sequences, for {told}:"), EMPTY, grid(columns, rows, 2)]
    said += [*paragraphs(*refused, indent=2), EMPTY]
    about = [(sequence.name, sequence.description) for sequence in each]
    return [*said, *aside(grid((Column(), Column()), about, 2), EMPTY, *_notes())]


def _row(sequence: Sequence, panel: PanelFacts, seed: int) -> tuple[tuple[str, ...], str]:
    """Return a sequence's row, or why it does not fit this panel."""
    from sequences.errors import SequenceError
    from sequences.estimate import plan
    from sequences.expand import expand

    try:
        planned = plan(expand(sequence, panel, seed), panel)
    except SequenceError as error:
        return (), f"{sequence.name}: {error.problems[0].partition(': ')[2]}"
    numbers = (planned.patches, planned.holds, planned.placements)
    times = (f"{planned.minutes:.1f}", f"{planned.warm_up_minutes:g}", f"{planned.dose_h:.2f}")
    return (sequence.name, *map(str, numbers), *times), ""


def _one(name: str, panel: PanelFacts, told: str, seed: int) -> list[Part]:
    from panelwear.commands.step_listing import effort_parts, step_table
    from sequences.estimate import plan
    from sequences.expand import expand_noted
    from sequences.reader import load

    sequence = load(name)
    steps, notes = expand_noted(sequence, panel, seed)
    head = paragraphs(f"{sequence.name}: {sequence.description}", f"For {told}, seed {seed}:")
    said = [*head, EMPTY, step_table(steps), EMPTY, *effort_parts(plan(steps, panel))]
    return [*said, *paragraphs(*(f"note: {note}" for note in notes)), *aside(*_notes())]


def _notes() -> list[Part]:
    from sequences.listing import ASSUMED

    return paragraphs(ASSUMED, hang=0)
