"""List ports, take readings, check or simulate a colorimeter."""

from __future__ import annotations

import argparse

from panelwear.commands.parsing import add_group, run_of_group

SUBCOMMANDS = {
    "list": "list the serial ports of this machine",
    "read": "take one reading",
    "check": "take 20 readings and the zero of the covered probe",
    "stability": "read a stable light on several evenings: the probe's day-to-day stability",
    "serve": "be a simulated colorimeter that others can connect to",
    "correct": "make a correction matrix for a filter colorimeter",
}
"""Name → one line; each lives in ``panelwear.commands.probe_<name>``."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add one parser for each subcommand."""
    add_group(parser, "probe", SUBCOMMANDS)


def run(arguments: argparse.Namespace) -> int:
    """Run the chosen subcommand."""
    return run_of_group(arguments, "probe")
