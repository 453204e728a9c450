"""Run the whole job on a simulated panel and probe: checkpoints, report, pictures, and the true values beside them."""

from __future__ import annotations

import argparse
import time
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.commands.parsing import place
from panelwear.telling.layout import text_of
from panelwear.telling.out import IN_A_PIPE, tell
from panelwear.telling.parts import EMPTY, Prose, aside
from panelwear.telling.progress import bar

if TYPE_CHECKING:
    from panelwear.screen.operator import Progress

CHECKPOINT_BYTES = 2_000_000
"""Readings, record and its share of report and pictures; the shipped sequences were seen to take 1.2 MB."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("--out", metavar="DIR", type=place, default=Path("rehearsal"), help="where to (rehearsal/)")
    parser.add_argument("--seed", type=int, default=1, help="of everything random (1); same seed, same readings")
    parser.add_argument("--sequence", metavar="NAME|FILE", default="checkpoint", help="what to run (checkpoint)")
    parser.add_argument("--camera", action="store_true", help="photograph each checkpoint too, by a simulated camera")
    parser.add_argument("--quick", action="store_true", help="three checkpoints in place of six")


def run(arguments: argparse.Namespace) -> int:
    """Run it."""
    from panelwear.errors import UsageError
    from panelwear.report.build import write_report

    if not 0 <= arguments.seed < 2**31:
        raise UsageError(f"--seed {arguments.seed}: wanted a whole number from 0 to {2**31 - 1}")
    from panelwear.figures.load import load_evidence
    from panelwear.folder.space import refuse_without_room
    from panelwear.simulation import about, rehearsal, rehearsal_camera, rehearsal_folder
    from panelwear.simulation.model import HARBOUR_DESK_PANEL
    from panelwear.simulation.probe import DEFAULT_PROBE

    out: Path = arguments.out
    hours = rehearsal.QUICK_HOURS if arguments.quick else rehearsal.HOURS
    truth = out / rehearsal_folder.PHOTOGRAPHS_TRUTH if arguments.camera else None
    wish = rehearsal.Wish(arguments.seed, arguments.sequence, hours, truth)
    rehearsal.check(wish)
    each = CHECKPOINT_BYTES + (rehearsal_camera.CHECKPOINT_BYTES if arguments.camera else 0)
    refuse_without_room(out, len(hours) * each)
    rehearsal_folder.prepare(out)
    said = about.about(HARBOUR_DESK_PANEL, DEFAULT_PROBE, wish.seed, camera=arguments.camera)
    quiet: bool = arguments.quiet
    tell(aside(*said), quiet=quiet)
    (out / rehearsal_folder.ABOUT).write_text(f"{text_of(said, IN_A_PIPE)}\n", encoding="utf-8")
    began_s = time.monotonic()
    with bar(quiet=quiet) as shown:

        def show(now_h: float, progress: Progress) -> None:
            share = (hours.index(now_h) + progress.done_share) / len(hours)
            shown.share(share, f"{now_h:g} h  step {progress.step} of {progress.steps}  {progress.what}")

        try:
            folder = rehearsal.make_panel_folder(out / rehearsal_folder.PANEL)
            done = rehearsal.rehearse(folder, wish, lambda line: shown.parts(Prose(line, aside=True)), show)
        finally:
            rehearsal_folder.note(out)
    checkpoints = load_evidence(out / rehearsal_folder.PANEL)
    tell(aside(*rehearsal.write_up(out, wish, done, checkpoints)), quiet=quiet)
    read = any(one.readings for one in done)
    report = write_report(out / rehearsal_folder.PANEL, checkpoints=checkpoints) if read else None
    rehearsal_folder.finish(out, {"seed": wish.seed, "sequence": wish.sequence, "hours": list(hours)})
    there = f"{rehearsal_folder.PICTURES}/, {rehearsal_folder.TRUTH}, {rehearsal_folder.ABOUT}"
    if truth is not None:
        there += f", {truth.name}/ (photographs lie in photos/ of each checkpoint)"
    took = (
        f"Stored in {out} in {time.monotonic() - began_s:.0f} s: {rehearsal_folder.PANEL}/ (a panel folder), {there}."
    )
    tell(aside(EMPTY, Prose(took)), quiet=quiet)
    if report is not None:
        tell([Prose(f"The report: {report} (open it in a browser)")])
    return 0
