"""The command line: finds one file a command in ``panelwear.commands`` and imports only the one that runs."""

from __future__ import annotations

import io
import os
import sys
from typing import TYPE_CHECKING

from panelwear.errors import OWN_FAULT, PanelwearError, Stopped, StorageFault, UsageError

if TYPE_CHECKING:
    import argparse

COMMANDS: dict[str, str] = {
    "start": "the start screen: everything below with keys and mouse",
    "rehearse": "run the whole job on a simulated panel and probe",
    "new": "make a panel folder",
    "zones": "draw the zones on the panel itself",
    "inspect": "run an inspection and write a checkpoint",
    "spot": "white point and peak luminance in two minutes",
    "look": "the by-eye check: see it, mark it, measure it by matching",
    "resume": "go on with an inspection that was interrupted",
    "usage": "keep what the panel showed, and say the dose of light",
    "status": "say where a panel stands, what is due and what to do next",
    "close": "close a checkpoint, so that it is never edited again",
    "amend": "correct what was answered at a checkpoint, beside its record",
    "discard": "set a checkpoint aside, or put it back",
    "compare": "say what changed between checkpoints, and how sure that is",
    "forecast": "say when wear will matter, for this use and for another's",
    "report": "write one HTML file of all checkpoints",
    "archive": "collect many panel folders into one Parquet dataset",
    "export": "write checkpoints as files for other programs",
    "show": "put one pattern on the screen",
    "screens": "list the monitors, or prove that pixels arrive unchanged",
    "sequences": "list the shipped sequences",
    "probe": "list ports, take readings, check or simulate a colorimeter",
    "camera": "photographs as second instrument: shoot, read, compare",
    "check": "check any panelwear file or folder for faults",
    "install-shortcut": "put the start screen into the desktop's menu",
}
"""Name and one line of every command; its module ``panelwear.commands.<name>`` has ``add_arguments`` and ``run``.
In the module's name a hyphen is an underscore."""

START = "start"
"""What is run where nothing is typed behind the program's name."""

QUIET = ("-q", "--quiet")

ONE_THREAD = "OPENBLAS_NUM_THREADS"
"""Environment variable. Our matrices are small: a second thread that spins makes a busy machine three times slower
(a comparison of two checkpoints: 0.9 s became 2.9 s), and no machine faster."""

COMPLETION = "_ARGCOMPLETE"
"""Environment variable by which a shell's function asks for completions."""

TRACEBACK = "PANELWEAR_TRACEBACK"
"""Environment variable; set to anything, a fault of the program ends with Python's traceback."""


def _overview() -> str:
    width = max(map(len, COMMANDS))
    listed = "\n".join(f"  {name:<{width}}  {line}" for name, line in COMMANDS.items())
    return (
        "usage: panelwear [-q] [COMMAND [options]]\n\n"
        "Repeatable display inspections: patterns on the real pixels, colorimeter\n"
        "readings, what has worn.\n\n"
        f"{listed}\n\n"
        "'panelwear' alone opens the start screen, 'panelwear COMMAND --help' tells the\n"
        "options of one command; -q says only what was asked for, and what went wrong.\n"
        "Start with 'panelwear rehearse'.\n"
    )


def main(argv: list[str] | None = None) -> int:
    """Run one command and return its exit code."""
    if COMPLETION in os.environ:
        from panelwear.completion import complete

        complete(COMMANDS)
        return Stopped.exit_code  # nothing else may be done or said while a line is typed
    words = _quiet_behind(sys.argv[1:] if argv is None else argv)
    _stand_in()
    _write_what_the_terminal_cannot()
    os.environ.setdefault(ONE_THREAD, "1")  # before anything imports numpy
    try:
        code = _run(words or [START]) if not words or words[0] in COMMANDS else _tell(words)
        sys.stdout.flush()
    except (PanelwearError, KeyboardInterrupt, EOFError, MemoryError, OSError) as error:
        if isinstance(error, BrokenPipeError) and _nobody_reads():
            return Stopped.exit_code
        sentence, code = _ending(error)
        sys.stderr.write(_fault(words, sentence))
    except Exception as error:
        if os.environ.get(TRACEBACK):
            raise
        from panelwear.guard import own_fault

        sys.stderr.write(_fault(words, own_fault(error, TRACEBACK)))
        return OWN_FAULT
    return code


def _quiet_behind(words: list[str]) -> list[str]:
    """Put ``-q`` that stands before a command behind it, where its own parser takes it."""
    before = next((n for n, word in enumerate(words) if word not in QUIET), len(words))
    return [words[before], *words[:before][:1], *words[before + 1 :]] if before < len(words) else []


def _fault(words: list[str], sentence: str) -> str:
    """Say what ended a command, broken to fit where it is a terminal."""
    from panelwear.telling.out import one_sentence

    return one_sentence(f"{' '.join(['panelwear', *words[:1]])}: {sentence}", sys.stderr) + "\n"


def _plain(text: str) -> str:
    from groundwork.documents import printable_lines

    return printable_lines(text)


def _tell(words: list[str]) -> int:
    if words[0] in {"-h", "--help", "help"}:
        sys.stdout.write(_overview())
        return 0
    if words[0] in {"-V", "--version"}:
        from panelwear.version import told

        sys.stdout.write(f"{told()}\n")
        return 0
    import difflib  # as in the rest of this file: what a plain --help does not need is imported where it is

    near = difflib.get_close_matches(words[0], COMMANDS, n=1)
    hint = f" Did you mean '{near[0]}'?" if near else ""
    sys.stderr.write(f"panelwear: there is no command '{_plain(words[0])}'.{hint} See 'panelwear --help'.\n")
    return UsageError.exit_code


def _run(words: list[str]) -> int:
    from panelwear.commands.parsing import parser_for
    from panelwear.guard import check_packages

    check_packages()
    parser, module = parser_for(words[0])
    arguments = parser.parse_args(words[1:])
    is_known = _remembered(arguments)
    try:
        return int(module.run(arguments) or 0)  # type: ignore[attr-defined]
    finally:
        if not is_known:  # a new one is there by now
            _remembered(arguments)


def _remembered(arguments: argparse.Namespace) -> bool:
    """Put the panel folder a command is about on the start screen's list; returns whether there is nothing left to."""
    folder = getattr(arguments, "directory", None)
    if folder is None:
        return True
    from panelwear.start.known import remember

    return remember(folder)


def _ending(error: BaseException) -> tuple[str, int]:
    """Say what ended a command from outside."""
    if isinstance(error, PanelwearError):
        return str(error), error.exit_code
    if isinstance(error, OSError):
        where = f"{error.filename}: " if error.filename else ""
        return f"{where}{error.strerror or error}; what was stored stays.", StorageFault.exit_code
    if isinstance(error, MemoryError):
        return "the machine's memory is full; what was stored stays.", StorageFault.exit_code
    said = "the answers ended" if isinstance(error, EOFError) else "stopped"
    return f"{said}; what was stored stays.", Stopped.exit_code


def _stand_in() -> None:
    """Put an empty input and a silent output where we were started without: from a menu, or with them closed."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: PTH123, SIM115 - open until we end


def _write_what_the_terminal_cannot() -> None:
    """Let a character that the terminal's encoding lacks come out escaped instead of ending the run."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")


def _nobody_reads() -> bool:
    """Tell whether the reader of our output is gone (``| head``); then nothing more is written to it."""
    import select

    if not hasattr(select, "poll"):
        return False
    output = select.poll()
    output.register(sys.stdout.fileno(), select.POLLERR | select.POLLHUP)
    gone = bool(output.poll(0))
    if gone:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return gone


if __name__ == "__main__":
    raise SystemExit(main())
