"""Errors of probe_io, one tree; each is one sentence and keeps its evidence.

ProbeError
├── InstrumentFileError   the description of the instrument is wrong (``problems``: all faults at once)
├── LinkError             the port or the socket
│   ├── CannotOpen        not there, no permission, already open
│   └── Unplugged         it was there and is gone
├── NoReply               time-out; ``raw`` holds the bytes that did come
├── BadReply              bytes came that do not match; ``raw`` holds them
├── WrongIdentity         something else answered than the instrument file expects
│   └── AnotherMeter      of the same kind, but not the one that was opened
├── InstrumentStopped     the instrument reports an error that the instrument file calls final
└── Cancelled             the person stopped the wait
"""

from __future__ import annotations


class ProbeError(Exception):
    """Base of all probe errors; ``raw`` is what the instrument sent, as evidence."""

    def __init__(self, sentence: str, raw: bytes = b"") -> None:
        super().__init__(sentence)
        self.raw = raw


class InstrumentFileError(ProbeError):
    """An instrument file has faults; ``problems`` lists every one."""

    def __init__(self, problems: tuple[str, ...]) -> None:
        super().__init__("; ".join(problems))
        self.problems = problems


class LinkError(ProbeError):
    """The port or the socket failed."""


class CannotOpen(LinkError):  # noqa: N818 - named for what the person sees
    """The port is not there, may not be opened, or is in use."""


class Unplugged(LinkError):  # noqa: N818
    """The link was open and is gone."""


class NoReply(ProbeError):  # noqa: N818
    """The instrument did not finish its reply in time."""


class BadReply(ProbeError):  # noqa: N818
    """A reply came that does not match the instrument file."""


class WrongIdentity(ProbeError):  # noqa: N818
    """Another instrument answered than the file describes."""


class AnotherMeter(WrongIdentity):
    """Another instrument of the same kind answers than the one that was opened."""


class InstrumentStopped(ProbeError):  # noqa: N818
    """The instrument reports a fault that ends the run."""


class Cancelled(ProbeError):  # noqa: N818
    """The wait for the instrument was cancelled."""
