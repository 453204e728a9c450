"""What commands that read the panel share: options, the dry run, the summary of a session."""

from __future__ import annotations

import argparse
import contextlib
import json
import sys
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from panelwear.errors import NotAsWritten, UsageError
from panelwear.telling.out import tell
from panelwear.telling.parts import EMPTY, Exactly, Part, Prose, paragraphs
from panelwear.telling.words import counted

if TYPE_CHECKING:
    from panelwear.figures.checkpoint import Figures
    from panelwear.folder.hours import HoursOfUse
    from panelwear.run.opening import Wishes
    from panelwear.run.plan import SessionPlan, Wanted
    from panelwear.run.session import Outcome
    from panelwear.screen.operator import Awaited
    from probe_io.simulated import LightSource


def add_run_arguments(parser: argparse.ArgumentParser, sequence: str) -> None:
    """Declare the options every inspection has."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder (panelwear new)")
    add_hours_argument(parser)
    parser.add_argument("--cycles", type=int, metavar="C", help="compensation cycles, if the panel counts them")
    add_sure_argument(parser)
    parser.add_argument("--sequence", default=sequence, metavar="NAME|FILE", help=f"what to run (default {sequence})")
    parser.add_argument(
        "--warm-up",
        type=float,
        metavar="MIN",
        help="minutes of warm-up instead of the sequence's; when shorter, every row is flagged not-settled",
    )
    parser.add_argument("--seed", type=int, help="seed of shuffled orders (default: drawn and recorded)")
    parser.add_argument(
        "--locate", action="store_true", help="find the probe's place with the screen itself after each placement"
    )
    add_bench_arguments(parser)
    parser.add_argument("--dry-run", action="store_true", help="print steps, moves and the estimate; show nothing")


def add_hours_argument(parser: argparse.ArgumentParser) -> None:
    """Declare the option for hours of use."""
    said = "hours of use the panel has now: 3600, '3600 counted', or a range such as 2100-2500"
    parser.add_argument("--hours", type=hours_option, metavar="H", help=said)


def hours_option(text: str) -> HoursOfUse:
    """Read hours of use from the command line."""
    from panelwear.folder.hours import parse_hours

    try:
        return parse_hours(text)
    except ValueError as error:
        raise UsageError(f"--hours {error}") from None


def add_sure_argument(parser: argparse.ArgumentParser) -> None:
    """Declare the option for hours that look odd."""
    parser.add_argument("--sure", action="store_true", help="the hours are right, though they look impossible")


def add_bench_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options for probe and screen."""
    parser.add_argument("--instrument", metavar="NAME|FILE", help="how the probe is spoken to (else probe.toml)")
    parser.add_argument("--probe", metavar="URL", help="where the probe is: device path, COM3, socket://…, keyboard")
    parser.add_argument("--no-probe", action="store_true", help="show the sequence for eye and camera only")
    parser.add_argument("--screen", type=int, metavar="N", help="monitor, as 'panelwear screens' counts")
    parser.add_argument("--allow-scaled", action="store_true", help="go on when pixels are scaled; flags every row")
    parser.add_argument("--borderless", action="store_true", help="a frameless window, for stubborn window managers")
    parser.add_argument("--yes", action="store_true", help="take all defaults, wait for nobody")
    parser.add_argument("--json", action="store_true", help="the summary as JSON, alone on the standard output")


def wishes_of(arguments: argparse.Namespace) -> Wishes:
    """Return what the options say of screen and person."""
    from panelwear.run.opening import Wishes

    quiet: bool = arguments.quiet
    return Wishes(
        arguments.screen, arguments.allow_scaled, arguments.borderless, arguments.yes, _simulated, quiet, _photographs
    )


def _photographs(*wanted: Any) -> str:
    from panelwear.camera.within_run import photograph

    return photograph(*wanted)


def refuse_without_camera(plan: SessionPlan) -> None:
    """Say what is not installed before a run is begun that photographs."""
    from sequences.model import Shoot

    if any(isinstance(step, Shoot) for step in plan.steps):
        from panelwear.camera.qr_code import qr_matrix

        qr_matrix("panelwear")


def _simulated(awaited: Awaited) -> LightSource:
    from panelwear.simulation.shown_light import ShownLight

    return ShownLight(awaited)


def wanted_of(arguments: argparse.Namespace) -> Wanted:
    """Return what the options of an inspection ask for."""
    from panelwear.run.plan import Wanted

    return Wanted(
        directory=arguments.directory,
        sequence=arguments.sequence,
        hours=arguments.hours,
        cycles=arguments.cycles,
        warm_up_minutes=arguments.warm_up,
        seed=arguments.seed,
        locate=arguments.locate,
        instrument=arguments.instrument or "",
        link=arguments.probe or "",
        without_probe=arguments.no_probe,
        sure=arguments.sure,
    )


@dataclass(frozen=True, slots=True)
class Said:
    """What is said after a session."""

    parts: list[Part]
    data: dict[str, object]
    """The same for ``--json``."""
    not_as_written: bool = False
    """Whether stored files that it rests on were changed."""


def inspect_as_asked(arguments: argparse.Namespace, summary: Callable[[SessionPlan, Outcome], Said]) -> int:
    """Do what an inspecting command asks: plan, then the dry run, or the session and its summary."""
    from panelwear.run.opening import carry_out
    from panelwear.run.plan import plan_session

    def said() -> Said:
        wanted = wanted_of(arguments)
        plan = plan_session(wanted)
        if arguments.dry_run:
            return dry_run(plan)
        refuse_without_camera(plan)
        return summary(plan, carry_out(plan, wanted, wishes_of(arguments)))

    return say(arguments, said)


def say(arguments: argparse.Namespace, session: Callable[[], Said]) -> int:
    """Run a session and say what there is to say of it; returns the exit code."""
    # With --json nothing but that stands on the standard output: whoever is at the panel is spoken to on the other.
    with contextlib.redirect_stdout(sys.stderr) if arguments.json else contextlib.nullcontext():
        said = session()
    if arguments.json:
        print(json.dumps(said.data, ensure_ascii=False, indent=1))
    else:
        tell(said.parts, quiet=arguments.quiet)
    return NotAsWritten.exit_code if said.not_as_written else 0


def dry_run(plan: SessionPlan) -> Said:
    """Return numbered steps, moves, the estimate and what stands in the way."""
    from panelwear.commands.step_listing import effort_parts, step_table
    from panelwear.run.plan import cannot_tell
    from sequences import estimate, listing, route

    effort = estimate.plan(plan.steps, plan.facts)
    notes = [*cannot_tell(plan), *plan.notes, *plan.reach]
    parts: list[Part] = [step_table(plan.steps), EMPTY, *effort_parts(effort)]
    parts.append(Exactly(tuple(route.told(plan.steps, plan.facts)), aside=True))
    data: dict[str, object] = {
        "steps": [{"number": number, "step": said} for number, said in listing.rows(plan.steps)],
        "effort": asdict(effort),
        "notes": notes,
    }
    return Said([*parts, *paragraphs(*(f"note: {sentence}" for sentence in notes))], data)


def summary_of_session(plan: SessionPlan, outcome: Outcome) -> Said:
    """Sum a session up: figures with their uncertainty, and what was stored where."""
    read = counted(len(outcome.rows), "reading")
    said: list[Part] = [Prose(f"{outcome.checkpoint.name}: session {outcome.session}, {read} stored")]
    figures = None
    if outcome.rows:
        from panelwear.figures.checkpoint import figures_of
        from panelwear.figures.load import evidence_of_session
        from panelwear.figures.tables import summary_of

        session = evidence_of_session(plan.panel.directory, outcome.checkpoint.name, outcome.session).now
        figures = figures_of(session)
        said += summary_of(figures)
    return Said([*said, *stored_in(outcome)], session_data(outcome, figures))


def stored_in(outcome: Outcome) -> list[Part]:
    """Say where a session lies."""
    return [Prose(f"stored in {outcome.checkpoint.directory}", aside=True)]


def session_data(outcome: Outcome, figures: Figures | None) -> dict[str, object]:
    """Return a session with its figures as plain data (docs/commands.md has the keys)."""
    return {
        "checkpoint": outcome.checkpoint.name,
        "session": outcome.session,
        "readings": len(outcome.rows),
        "figures": figures.to_json() if figures is not None else [],
        "notes": list(figures.notes) if figures is not None else [],
        "directory": str(outcome.checkpoint.directory),
    }
