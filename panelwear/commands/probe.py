"""List ports, take readings, check or simulate a colorimeter."""

from __future__ import annotations

import argparse
import importlib
from importlib.util import find_spec

from panelwear.commands.parsing import add_quiet

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
    """Add one parser for each subcommand that is installed."""
    kinds = parser.add_subparsers(dest="probe_command", metavar="WHAT", required=True)
    for name, line in SUBCOMMANDS.items():
        module_name = f"panelwear.commands.probe_{name}"
        if find_spec(module_name) is None:
            continue
        module = importlib.import_module(module_name)
        one = kinds.add_parser(name, help=line, description=module.__doc__)
        module.add_arguments(one)
        add_quiet(one, argparse.SUPPRESS)


def run(arguments: argparse.Namespace) -> int:
    """Run the chosen subcommand."""
    module = importlib.import_module(f"panelwear.commands.probe_{arguments.probe_command}")
    code: int = module.run(arguments)
    return code
