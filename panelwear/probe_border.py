"""The border between probe and application: errors of ``probe_io`` become the application's own."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from panelwear.errors import FileFault, PanelwearError, ProbeFault, Stopped
from probe_io.errors import Cancelled, InstrumentFileError, ProbeError


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
