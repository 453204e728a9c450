"""The camera as second instrument: take the photographs of a checkpoint, turn them into maps, look at what wore."""

from __future__ import annotations

import argparse
import importlib

from panelwear.commands.parsing import add_quiet

SUBCOMMANDS = {
    "shoot": "show a shooting list, field by field, to be photographed",
    "read": "turn the photographs of a shoot into maps of light",
    "zones": "list regions that changed and that no zone names; make zones of them",
}
"""Name → one line; each lives in ``panelwear.commands.camera_<name>``."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add one parser for each subcommand."""
    kinds = parser.add_subparsers(dest="camera_command", metavar="WHAT", required=True)
    for name, line in SUBCOMMANDS.items():
        module = importlib.import_module(f"panelwear.commands.camera_{name}")
        one = kinds.add_parser(name, help=line, description=module.__doc__)
        module.add_arguments(one)
        add_quiet(one, argparse.SUPPRESS)


def run(arguments: argparse.Namespace) -> int:
    """Run the chosen subcommand."""
    module = importlib.import_module(f"panelwear.commands.camera_{arguments.camera_command}")
    code: int = module.run(arguments)
    return code
