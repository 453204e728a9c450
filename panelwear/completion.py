"""Completion of a command line by Tab, as ``argcomplete`` asks for it; only the command that is typed is imported.

argcomplete asks the program itself at each Tab, so that names of checkpoints, sequences and patterns are those that are
there now. A generated script knows only what was there when it was made.
"""

from __future__ import annotations

import argparse
import importlib
import os
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

from panelwear.errors import PanelwearError

LINE = "COMP_LINE"
Completer = Callable[..., Iterable[str]]


def complete(commands: Mapping[str, str]) -> None:
    """Answer the shell and end the program; return, nothing said, where argcomplete is not installed.

    Args:
        commands: name and one line of every command.
    """
    try:
        import argcomplete
    except ImportError:
        return
    # What our own completers leave to the shell are names of files.
    argcomplete.autocomplete(parser_of_line(commands, os.environ.get(LINE, "")), always_complete_options=True)


def parser_of_line(commands: Mapping[str, str], line: str) -> argparse.ArgumentParser:
    """Return a parser that knows every command's name, and the options of the one that is typed in a line."""
    parser = argparse.ArgumentParser(prog="panelwear")
    kinds = parser.add_subparsers()
    typed = line.split()[1:2]
    for name, said in commands.items():
        own = kinds.add_parser(name, help=said)
        if typed == [name]:
            importlib.import_module(f"panelwear.commands.{name.replace('-', '_')}").add_arguments(own)
            _attach(own)
    return parser


def _attach(parser: argparse.ArgumentParser) -> None:
    """Give arguments that take names of ours the function that lists them."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for own in action.choices.values():
                _attach(own)
        elif action.dest in COMPLETERS:
            action.completer = COMPLETERS[action.dest]  # type: ignore[attr-defined]


def checkpoints(prefix: str = "", parsed_args: Any = None, **_: object) -> list[str]:
    """List the checkpoints of the panel folder that is typed already."""
    from panelwear.folder.checkpoint import folders_of

    return _of_the_folder(parsed_args, prefix, lambda directory: (f.name for f in folders_of(directory)))


def zones(prefix: str = "", parsed_args: Any = None, **_: object) -> list[str]:
    """List the zones of the panel folder that is typed already."""
    from panelwear.folder.panel import load_panel

    return _of_the_folder(parsed_args, prefix, lambda directory: (z.name for z in load_panel(directory).zones))


def _of_the_folder(parsed: Any, prefix: str, listed: Callable[[Path], Iterable[str]]) -> list[str]:
    """List names out of the panel folder that is typed; none where there is none yet, or it has faults."""
    directory = getattr(parsed, "directory", None)
    try:
        return [] if directory is None else _starting(listed(Path(directory)), prefix)
    except PanelwearError:
        return []


def _sequences(prefix: str = "", **_: object) -> list[str]:
    from sequences.reader import shipped

    return [*_starting(shipped(), prefix), *_files(prefix)]


def _shooting_lists(prefix: str = "", **_: object) -> list[str]:
    from sequences.shoots import shipped

    return [*_starting(shipped(), prefix), *_files(prefix)]


def _instruments(prefix: str = "", **_: object) -> list[str]:
    from probe_io.instrument_file import shipped

    return [*_starting(shipped(), prefix), *_files(prefix)]


def _patterns(prefix: str = "", **_: object) -> list[str]:
    from patterns import names

    return _starting(names(), prefix)


def _starting(names: Iterable[str], prefix: str) -> list[str]:
    return [name for name in names if name.startswith(prefix)]


def _folders(prefix: str = "", **_: object) -> list[str]:
    from argcomplete.completers import DirectoriesCompleter

    return list(DirectoriesCompleter()(prefix))


def _files(prefix: str) -> list[str]:
    from argcomplete.completers import FilesCompleter

    return list(FilesCompleter(("toml",))(prefix))


COMPLETERS: dict[str, Completer] = {
    "directory": _folders,
    "checkpoint": checkpoints,
    "since": checkpoints,
    "until": checkpoints,
    "match": zones,
    "sequence": _sequences,
    "list": _shooting_lists,
    "instrument": _instruments,
    "pattern": _patterns,
}
"""By what an argument is stored as."""
