"""List the shipped sequences with patches, placements, minutes and light dose, or print one step by step."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sequences.model import PanelFacts
    from sequences.schema import Sequence

NOMINAL = "a nominal panel of {} x {} px, 598 mm wide, 250 cd/m², with three invented zones"
ACROSS_MM = 597.7
WIDTH = 100


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
        if arguments.sequence is None:
            _print_all(panel, told, arguments.seed)
        else:
            _print_one(arguments.sequence, panel, told, arguments.seed)
    except SequenceError as error:
        raise FileFault(error.problems) from None
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


def _print_all(panel: PanelFacts, told: str, seed: int) -> None:
    from sequences.errors import SequenceError
    from sequences.reader import load, shipped

    print(f"Shipped sequences, for {told}:\n")
    print(f"  {'name':<12}{'patches':>8}{'holds':>7}{'placements':>12}{'reading':>10}{'warm-up':>10}{'light dose':>12}")
    for name in shipped():
        sequence = load(name)
        try:
            print(_row(sequence, panel, seed))
        except SequenceError as error:
            print(f"  {name:<12}  {error.problems[0].partition(': ')[2]}")
        print(_wrapped(sequence.description, "      ") + "\n")
    _print_notes()


def _row(sequence: Sequence, panel: PanelFacts, seed: int) -> str:
    from sequences.estimate import plan
    from sequences.expand import expand

    planned = plan(expand(sequence, panel, seed), panel)
    return (
        f"  {sequence.name:<12}{planned.patches:>8}{planned.holds:>7}{planned.placements:>12}"
        f"{planned.minutes:>6.1f} min{planned.warm_up_minutes:>6g} min{planned.dose_h:>10.2f} h"
    )


def _print_one(name: str, panel: PanelFacts, told: str, seed: int) -> None:
    from sequences import listing
    from sequences.estimate import plan
    from sequences.expand import expand_noted
    from sequences.reader import load

    sequence = load(name)
    steps, notes = expand_noted(sequence, panel, seed)
    print(_wrapped(f"{sequence.name}: {sequence.description}"))
    print(f"For {told}, seed {seed}:\n")
    for line in listing.lines(steps):
        print(line)
    print()
    for line in (*listing.summary(plan(steps, panel)), *(f"note: {note}" for note in notes)):
        print(line)
    _print_notes()


def _print_notes() -> None:
    from sequences.listing import ASSUMED

    print(_wrapped(ASSUMED))


def _wrapped(text: str, indent: str = "") -> str:
    import textwrap

    return textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent)
