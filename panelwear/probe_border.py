"""The border between probe and application: errors of ``probe_io`` become the application's own."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from groundwork.documents import printable
from panelwear.errors import FileFault, PanelwearError, ProbeFault, Stopped
from probe_io.errors import Cancelled, InstrumentFileError, ProbeError
from probe_io.reading import ProbeIdentity


def translated(error: ProbeError) -> PanelwearError:
    """Return the application's error for one of the probe's; the sentence stays the same."""
    if isinstance(error, InstrumentFileError):
        return FileFault(error.problems)
    if isinstance(error, Cancelled):
        return Stopped(str(error))
    return ProbeFault(str(error))


@contextmanager
def probe_errors() -> Iterator[None]:
    """Translate what is raised inside; the probe's error, with its bytes, stays attached as the cause."""
    try:
        yield
    except ProbeError as error:
        raise translated(error) from error


def probe_words(identity: ProbeIdentity, stated_serial: str = "") -> str:
    """Say in one line who answered and where, printable; a stated serial number stands in for one that is not told."""
    told = (
        ("model", identity.model),
        ("serial number", identity.serial or stated_serial),
        ("firmware", identity.firmware),
    )
    named = ", ".join(f"{label} {value}" for label, value in told if value)
    return printable(f"{identity.instrument} on {identity.link}" + (f" ({named})" if named else ""))
