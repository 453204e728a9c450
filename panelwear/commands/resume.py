"""Go on with an inspection that was interrupted: warm-up again, then from the unfinished visit on."""

from __future__ import annotations

import argparse
from pathlib import Path

from panelwear.commands.run_options import add_bench_arguments, summary_lines, wishes_of


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder")
    add_bench_arguments(parser)


def run(arguments: argparse.Namespace) -> int:
    """Find the interrupted session and run the rest of it."""
    from panelwear.folder import checkpoint
    from panelwear.run.opening import carry_out
    from panelwear.run.plan import Wanted, plan_rest

    found = checkpoint.find(arguments.directory, None)
    wanted = Wanted(
        directory=arguments.directory,
        hours=found.hours,
        instrument=arguments.instrument or "",
        link=arguments.probe or "",
        without_probe=arguments.no_probe,
    )
    plan = plan_rest(wanted, found)
    print("\n".join(summary_lines(plan, carry_out(plan, wanted, wishes_of(arguments), resume=True)).lines))
    return 0
