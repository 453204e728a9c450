"""What commands that read the panel share: options, the dry run, the summary of a session."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.errors import NotAsWritten

if TYPE_CHECKING:
    from panelwear.run.opening import Wishes
    from panelwear.run.plan import SessionPlan, Wanted
    from panelwear.run.session import Outcome
    from panelwear.screen.operator import Awaited
    from probe_io.simulated import LightSource


def add_run_arguments(parser: argparse.ArgumentParser, sequence: str) -> None:
    """Declare the options every inspection has."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder (panelwear new)")
    parser.add_argument("--hours", type=float, metavar="H", help="hours of use the panel has now")
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


def wishes_of(arguments: argparse.Namespace) -> Wishes:
    """Return what the options say of screen and person."""
    from panelwear.run.opening import Wishes

    return Wishes(arguments.screen, arguments.allow_scaled, arguments.borderless, arguments.yes, _simulated)


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

    lines: list[str]
    not_as_written: bool = False
    """Whether stored files that it rests on were changed."""


def inspect_as_asked(arguments: argparse.Namespace, summary: Callable[[SessionPlan, Outcome], Said]) -> int:
    """Do what an inspecting command asks: plan, then the dry run, or the session and its summary."""
    from panelwear.run.opening import carry_out
    from panelwear.run.plan import plan_session

    wanted = wanted_of(arguments)
    plan = plan_session(wanted)
    if arguments.dry_run:
        said = Said(dry_run_lines(plan))
    else:
        said = summary(plan, carry_out(plan, wanted, wishes_of(arguments)))
    print("\n".join(said.lines))
    return NotAsWritten.exit_code if said.not_as_written else 0


def dry_run_lines(plan: SessionPlan) -> list[str]:
    """Return numbered steps, moves, the estimate and what stands in the way."""
    from panelwear.run.plan import cannot_tell
    from sequences import estimate, listing, route

    steps = (*listing.lines(plan.steps), *listing.summary(estimate.plan(plan.steps, plan.facts)))
    way = route.told(plan.steps, plan.facts)
    return [*steps, *way, *(f"note: {sentence}" for sentence in (*cannot_tell(plan), *plan.notes, *plan.reach))]


def summary_lines(plan: SessionPlan, outcome: Outcome) -> Said:
    """Sum a session up: figures with their uncertainty, and what was stored where."""
    lines = [f"{outcome.checkpoint.name}: session {outcome.session}, {len(outcome.rows)} readings stored"]
    if outcome.rows:
        from panelwear.figures.checkpoint import figures_of
        from panelwear.figures.load import evidence_of_session
        from panelwear.figures.tables import summary_of

        session = evidence_of_session(plan.panel.directory, outcome.checkpoint.name, outcome.session).now
        lines += summary_of(figures_of(session))
    return Said([*lines, f"stored in {outcome.checkpoint.directory}"])
