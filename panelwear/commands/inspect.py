"""Run an inspection on the panel and write a checkpoint: cautions, questions, warm-up, visits, readings, summary."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from panelwear.engine.run import Outcome
    from panelwear.sitting import Plan


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    from panelwear.sitting import add_run_arguments

    add_run_arguments(parser, sequence="checkpoint")


def run(arguments: argparse.Namespace) -> int:
    """Run it."""
    from panelwear.sitting import carry_out

    return carry_out(arguments, print_summary)


def print_summary(plan: Plan, outcome: Outcome) -> None:
    """Print what was found, each with its spread, and where it is stored."""
    from panelwear.sitting import summary_lines

    for line in summary_lines(plan.panel, outcome):
        print(line)
