"""Errors of the application, one tree; each is one sentence: what, where, what to do.

PanelwearError                exit_code
├── Stopped               1   the person stopped
├── UsageError            2   the command line or an answer makes no sense
├── FileFault             2   a file of ours has faults (``problems``: all at once)
├── ScreenFault           3   no display, scaled, wrong size, lost
├── NotAsWritten          3   stored files were changed, and nothing can be said without them
├── ProbeFault            4   the probe cannot be used any more (wraps ``probe_io.errors.ProbeError``)
└── StorageFault          5   the disk, the lock, the folder

Whatever else is raised is a fault of the program itself and ends with ``OWN_FAULT``, 6.
"""

from __future__ import annotations

OWN_FAULT = 6


class PanelwearError(Exception):
    """Base; ``exit_code`` is what the command ends with."""

    exit_code = 2


class Stopped(PanelwearError):  # noqa: N818 - named for what happened
    """The person stopped; everything up to here is stored."""

    exit_code = 1


class UsageError(PanelwearError):
    """The command line, or an answer, cannot be acted on."""

    exit_code = 2


class FileFault(PanelwearError):  # noqa: N818
    """A file has faults; ``problems`` lists them all, each with file, key, what is wrong and what is allowed."""

    exit_code = 2

    def __init__(self, problems: tuple[str, ...]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


class ScreenFault(PanelwearError):  # noqa: N818
    """The screen cannot show the patterns exactly."""

    exit_code = 3


class NotAsWritten(PanelwearError):  # noqa: N818
    """Stored files are not those that were written, and what was asked cannot be said without them."""

    exit_code = 3

    def __init__(self, problems: tuple[str, ...]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


class ProbeFault(PanelwearError):  # noqa: N818
    """The probe cannot be used; what was read so far is stored."""

    exit_code = 4


class StorageFault(PanelwearError):  # noqa: N818
    """The folder cannot be written, or another run holds it."""

    exit_code = 5
