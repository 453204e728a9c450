"""Go on with what was interrupted: an inspection, warm-up first, from the unfinished visit on; or photographs."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.commands.run_options import (
    Said,
    add_bench_arguments,
    refuse_without_camera,
    say,
    summary_of_session,
    wishes_of,
)
from panelwear.errors import UsageError

if TYPE_CHECKING:
    from panelwear.folder.checkpoint import Checkpoint
    from panelwear.folder.shoots import ShootRecord


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder")
    parser.add_argument(
        "--warm-up",
        metavar="auto|MIN",
        help="auto: only until steady, where it was a short interruption and you say that the panel stayed lit; or "
        "minutes (else as the session began)",
    )
    add_bench_arguments(parser)


def run(arguments: argparse.Namespace) -> int:
    """Find what was interrupted, session or shoot, and run the rest of it."""
    from panelwear.folder import checkpoint
    from panelwear.run.opening import carry_out
    from panelwear.run.plan import Wanted, plan_rest

    minutes = _minutes(arguments.warm_up)
    found = checkpoint.find(arguments.directory, None)
    shoot = _only_photographs(found)
    if shoot is not None:
        return _photograph_the_rest(arguments, found.name, shoot)
    wanted = Wanted(
        directory=arguments.directory,
        hours=found.use,
        instrument=arguments.instrument or "",
        link=arguments.probe or "",
        without_probe=arguments.no_probe,
        warm_up_minutes=minutes,
        warm_up_choice="" if minutes is not None else arguments.warm_up or "",
    )

    def said() -> Said:
        plan = plan_rest(wanted, found)
        refuse_without_camera(plan)
        return summary_of_session(plan, carry_out(plan, wanted, wishes_of(arguments), resume=True))

    return say(arguments, said)


def _only_photographs(found: Checkpoint) -> ShootRecord | None:
    """Return the interrupted shoot of a checkpoint in which no inspection is left to go on with."""
    from panelwear.folder.record import is_interrupted
    from panelwear.folder.shoots import unfinished_shoot

    sessions = found.record["sessions"]
    if found.is_closed or (sessions and "steps" in sessions[-1] and is_interrupted(sessions[-1])):
        return None
    return unfinished_shoot(found.directory)


def _photograph_the_rest(arguments: argparse.Namespace, name: str, shoot: ShootRecord) -> int:
    """Go on with a shoot, as 'panelwear camera shoot' does."""
    from panelwear.commands import camera_shoot
    from panelwear.telling.out import tell
    from panelwear.telling.parts import paragraphs

    if arguments.json:
        raise UsageError(f"--json: {shoot.shoot} of {name} is what was interrupted, and photographs have no summary")
    taken = sum(one.is_done for one in shoot.shots)
    said = f"{name}: {shoot.shoot} was interrupted, {taken} of {len(shoot.shots)} photographs are taken; it goes on."
    tell(paragraphs(said), quiet=arguments.quiet)
    parser = argparse.ArgumentParser()
    camera_shoot.add_arguments(parser)
    own = parser.parse_args([str(arguments.directory)])
    for option in ("directory", "screen", "allow_scaled", "borderless", "yes", "quiet"):
        setattr(own, option, getattr(arguments, option))
    return camera_shoot.run(own)


def _minutes(text: str | None) -> float | None:
    from panelwear.run.interruption import AUTO

    if text in {None, AUTO}:
        return None
    try:
        return float(str(text))
    except ValueError:
        raise UsageError(f"--warm-up {text}: wanted 'auto', or minutes within 0..600") from None
