"""Go on with an inspection that was interrupted: warm-up again, then from the unfinished visit on."""

from __future__ import annotations

import argparse
from pathlib import Path

from panelwear.commands.run_options import (
    Said,
    add_bench_arguments,
    refuse_without_camera,
    say,
    summary_of_session,
    wishes_of,
)
from panelwear.errors import UsageError


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
    """Find the interrupted session and run the rest of it."""
    from panelwear.folder import checkpoint
    from panelwear.run.opening import carry_out
    from panelwear.run.plan import Wanted, plan_rest

    minutes = _minutes(arguments.warm_up)
    found = checkpoint.find(arguments.directory, None)
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


def _minutes(text: str | None) -> float | None:
    from panelwear.run.interruption import AUTO

    if text in {None, AUTO}:
        return None
    try:
        return float(str(text))
    except ValueError:
        raise UsageError(f"--warm-up {text}: wanted 'auto', or minutes within 0..600") from None
