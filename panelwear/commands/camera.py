"""The camera as second instrument: take the photographs of a checkpoint, turn them into maps, look at what wore."""

from __future__ import annotations

import argparse

from panelwear.commands.parsing import add_group, run_of_group

SUBCOMMANDS = {
    "shoot": "show a shooting list, field by field, to be photographed",
    "read": "turn the photographs of a shoot into maps of light",
    "zones": "list regions that changed and that no zone names; make zones of them",
}
"""Name → one line; each lives in ``panelwear.commands.camera_<name>``."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add one parser for each subcommand."""
    add_group(parser, "camera", SUBCOMMANDS)


def run(arguments: argparse.Namespace) -> int:
    """Run the chosen subcommand."""
    return run_of_group(arguments, "camera")
