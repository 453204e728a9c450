"""Run an inspection on the panel and write a checkpoint: cautions, questions, warm-up, visits, readings, summary."""

from __future__ import annotations

import argparse

from panelwear.commands.run_options import add_run_arguments, inspect_as_asked, summary_of_session


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    add_run_arguments(parser, sequence="checkpoint")


def run(arguments: argparse.Namespace) -> int:
    """Run it."""
    return inspect_as_asked(arguments, summary_of_session)
