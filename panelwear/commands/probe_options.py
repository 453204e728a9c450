"""The options that say which probe is meant, and the probe they make."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.errors import StorageFault, UsageError
from panelwear.probe_border import probe_errors

if TYPE_CHECKING:
    from probe_io.reading import Probe, ProbeIdentity
    from probe_io.transcript import Record


def add_probe_options(parser: argparse.ArgumentParser) -> None:
    """Add ``--probe``, ``--instrument``, ``--integration``, ``--set`` and ``--transcript``."""
    parser.add_argument(
        "--probe",
        metavar="URL",
        required=True,
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
    parser.add_argument("--transcript", metavar="FILE", type=Path, help="write every byte sent and received to FILE")


@contextmanager
def opened(arguments: argparse.Namespace) -> Iterator[tuple[Probe, ProbeIdentity]]:
    """Open the probe that the options name, and close it afterwards; probe errors come out translated."""
    from probe_io.open import open_probe

    _check_integration(arguments.integration)
    settings = _settings(arguments.set)
    with _transcript(arguments.transcript) as record, probe_errors():
        probe = open_probe(arguments.probe, arguments.instrument, ask=_ask, settings=settings, record=record)
        try:
            yield probe, probe.open()
        finally:
            probe.close()


def said(identity: ProbeIdentity) -> str:
    """Say in one line who answered."""
    named = ", ".join(
        f"{label} {value}"
        for label, value in (
            ("model", identity.model),
            ("serial number", identity.serial),
            ("firmware", identity.firmware),
        )
        if value
    )
    return f"Probe: {identity.instrument} on {identity.link}" + (f" ({named})" if named else "")


def _ask(prompt: str) -> str:
    return input(f"{prompt}: ")


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


@contextmanager
def _transcript(path: Path | None) -> Iterator[Record | None]:
    if path is None:
        yield None
        return
    try:
        file = path.open("w", encoding="utf-8")
    except OSError as error:
        raise StorageFault(f"{path}: the transcript cannot be written: {error.strerror}") from error
    with file:
        file.write("# seconds, > sent  < received  ! thrown away, bytes in hexadecimal  |  as text\n")
        yield lambda line: print(line, file=file, flush=True)
