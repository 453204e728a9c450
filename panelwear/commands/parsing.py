"""The parser of one command, whose module alone is imported."""

from __future__ import annotations

import argparse
import importlib
from typing import NoReturn


class Parser(argparse.ArgumentParser):
    """A parser that ends with one plain sentence and exit code 2."""

    def error(self, message: str) -> NoReturn:
        """Say what is wrong and where help is."""
        from groundwork.documents import printable

        self.exit(2, f"{self.prog}: {printable(message)}. See '{self.prog} --help'.\n")


def add_quiet(parser: argparse.ArgumentParser, default: bool | str = False) -> None:
    """Declare the option every command has; ``default``: ``argparse.SUPPRESS`` where a parser above has it already."""
    said = "say only what was asked for, and what went wrong"
    parser.add_argument("-q", "--quiet", action="store_true", default=default, help=said)


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
