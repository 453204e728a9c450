"""The parser of one command, whose module alone is imported."""

from __future__ import annotations

import argparse
import importlib
import os
from collections.abc import Mapping
from pathlib import Path
from typing import NoReturn


class Parser(argparse.ArgumentParser):
    """A parser that ends with one plain sentence and exit code 2."""

    def error(self, message: str) -> NoReturn:
        """Say what is wrong and where help is."""
        from groundwork.documents import printable

        option = message.removeprefix("argument ").partition(": ")[0].rpartition("/")[2]
        if option.startswith("-") and message.endswith(": expected one argument"):
            # What begins with a hyphen is taken for an option itself.
            message = f"{option} needs a value; one that begins with '-' is joined to it by '=', as in {option}=-3"
        self.exit(2, f"{self.prog}: {printable(message)}. See '{self.prog} --help'.\n")


def add_quiet(parser: argparse.ArgumentParser, default: bool | str = False) -> None:
    """Declare the option every command has; ``default``: ``argparse.SUPPRESS`` where a parser above has it already."""
    said = "say only what was asked for, and what went wrong"
    parser.add_argument("-q", "--quiet", action="store_true", default=default, help=said)


def place(text: str) -> Path:
    """Take where something is written; nothing is no place, though a path takes it for the folder one stands in."""
    if not text.strip():
        raise argparse.ArgumentTypeError("is empty; name where to write")
    return Path(text)


def folder_to_write(text: str) -> Path:
    """Take a folder that files are written into, which is never the root of a disk."""
    folder = place(text)
    real = Path(os.path.realpath(folder))
    if real == real.parent:
        raise argparse.ArgumentTypeError(f"{text}: is the root of a disk; name a folder in it")
    return folder


def who() -> str:
    """Return the name a person is logged in under, or nothing."""
    import getpass

    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return ""


def parser_for(name: str) -> tuple[Parser, object]:
    """Import a command's module and return its parser with it."""
    module = importlib.import_module(f"panelwear.commands.{name.replace('-', '_')}")
    parser = Parser(prog=f"panelwear {name}", description=module.__doc__)
    module.add_arguments(parser)
    add_quiet(parser)
    return parser, module


def add_group(parser: argparse.ArgumentParser, group: str, subcommands: Mapping[str, str]) -> None:
    """Add one parser for each subcommand of a group; each lives in ``panelwear.commands.<group>_<name>``.

    Args:
        parser: of the group.
        group: its name.
        subcommands: name and one line of each.
    """
    kinds = parser.add_subparsers(dest=f"{group}_command", metavar="WHAT", required=True)
    for name, line in subcommands.items():
        module = importlib.import_module(f"panelwear.commands.{group}_{name}")
        one = kinds.add_parser(name, help=line, description=module.__doc__)
        module.add_arguments(one)
        add_quiet(one, argparse.SUPPRESS)


def run_of_group(arguments: argparse.Namespace, group: str) -> int:
    """Run the subcommand that was chosen; returns its exit code."""
    module = importlib.import_module(f"panelwear.commands.{group}_{getattr(arguments, f'{group}_command')}")
    code: int = module.run(arguments)
    return code
