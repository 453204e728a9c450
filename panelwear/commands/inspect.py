"""Run an inspection on the panel and write a checkpoint: cautions, questions, warm-up, visits, readings, summary."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from panelwear.commands.run_options import add_run_arguments

if TYPE_CHECKING:
    from panelwear.run.plan import Plan
    from panelwear.run.session import Outcome


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    add_run_arguments(parser, sequence="checkpoint")


def run(arguments: argparse.Namespace) -> int:
    """Run it."""
    from panelwear.run.plan import carry_out

    return carry_out(arguments, print_summary)


def print_summary(plan: Plan, outcome: Outcome) -> None:
    """Print what was found, each with its spread, and where it is stored."""
    from panelwear.run.plan import summary_lines

    for line in summary_lines(plan.panel, outcome):
        print(line)
