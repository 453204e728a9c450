"""The options that say which probe is meant, and the probe they make."""

from __future__ import annotations

import argparse
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.commands.parsing import place
from panelwear.errors import Stopped, StorageFault, UsageError
from panelwear.probe_border import probe_errors

if TYPE_CHECKING:
    from probe_io.reading import Probe, ProbeIdentity, Reading
    from probe_io.wire import Record

PATIENCE_S = 2.0
"""A wait that lasts longer is explained on the terminal."""


def add_probe_options(parser: argparse.ArgumentParser, *, needed: bool = True) -> None:
    """Add ``--probe``, ``--instrument``, ``--integration``, ``--set`` and ``--transcript``; ``needed``: the first."""
    parser.add_argument(
        "--probe",
        metavar="URL",
        required=needed,
        help="serial device or COM name, socket://HOST:PORT, rfc2217://…, keyboard, or simulated",
    )
    parser.add_argument("--instrument", metavar="NAME|FILE", help="instrument file: how the probe is spoken to")
    parser.add_argument("--integration", metavar="S", type=float, help="integration time in seconds")
    parser.add_argument(
        "--set",
        metavar="NAME=VALUE",
        action="append",
        default=[],
        help="value for a setting of the instrument file (may be repeated)",
    )
    parser.add_argument("--transcript", metavar="FILE", type=place, help="write every byte sent and received to FILE")


@contextmanager
def patience(sentence: str, after_s: float = PATIENCE_S, say: Callable[[str], None] | None = None) -> Iterator[None]:
    """Say what is waited for, once, when what is inside takes longer than ``after_s``."""
    timer = threading.Timer(after_s, say or _tell_waiting, (sentence,))
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


def take(probe: Probe, integration_s: float | None) -> Reading:
    """Take one reading, and say so when it takes its time; a person who types is not hurried."""
    from probe_io.keyboard import KeyboardProbe

    if isinstance(probe, KeyboardProbe):
        return probe.measure(integration_s)
    with patience("waiting for the reading; Ctrl-C ends the wait"):
        return probe.measure(integration_s)


@contextmanager
def opened(arguments: argparse.Namespace) -> Iterator[tuple[Probe, ProbeIdentity]]:
    """Open the probe that the options name, and close it afterwards; probe errors come out translated."""
    from probe_io.open import open_probe

    _check_integration(arguments.integration)
    settings = _settings(arguments.set)
    with _transcript(arguments.transcript) as record, probe_errors():
        probe = open_probe(arguments.probe, arguments.instrument, ask=_ask, settings=settings, record=record)
        try:
            with patience(f"waiting for the probe on {arguments.probe} to answer{_at_most(probe)}"):
                identity = probe.open()
            yield probe, identity
        finally:
            probe.close()


def _ask(prompt: str) -> str:
    try:
        return input(f"{prompt}: ")
    except EOFError:
        print()
        raise Stopped(
            "nothing was typed and the input has ended; run it in a terminal, where it can be typed"
        ) from None


def _tell_waiting(sentence: str) -> None:
    print(sentence, file=sys.stderr, flush=True)


def _at_most(probe: Probe) -> str:
    from probe_io.serial_probe import SerialProbe

    return f", {probe.instrument.silence_s:.0f} s at most" if isinstance(probe, SerialProbe) else ""


def _check_integration(integration_s: float | None) -> None:
    if integration_s is not None and not 0.0 < integration_s <= 600.0:
        raise UsageError(f"--integration {integration_s:g}: wanted seconds, more than 0 and at most 600")


def _settings(texts: list[str]) -> dict[str, float | str]:
    found: dict[str, float | str] = {}
    for text in texts:
        name, mark, value = text.partition("=")
        if not mark or not name or not value:
            raise UsageError(f"--set {text}: wanted NAME=VALUE, such as averages=4")
        try:
            found[name] = float(value)
        except ValueError:
            found[name] = value
    return found


TRANSCRIPT_HEAD = "# seconds, > sent  < received  ! thrown away, bytes in hexadecimal  |  as text"


@contextmanager
def _transcript(path: Path | None) -> Iterator[Record | None]:
    if path is None:
        yield None
        return
    from panelwear.atomic import refuse_foreign

    refuse_foreign(path, lambda head: head.startswith(TRANSCRIPT_HEAD.encode()), "byte log")
    try:
        file = path.open("w", encoding="utf-8")
    except OSError as error:
        raise StorageFault(f"{path}: the transcript cannot be written: {error.strerror}") from error
    with file:
        print(TRANSCRIPT_HEAD, file=file, flush=True)  # at once: a log without its head is nobody's
        yield lambda line: print(line, file=file, flush=True)
