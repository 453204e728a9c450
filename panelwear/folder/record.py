"""``checkpoint.json`` and ``amendments.json``: all faults at once; and the digest by which an edit is noticed."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from groundwork.tables import LOOSE, limits, one_of, read
from panelwear.errors import FileFault
from panelwear.folder.files import load_json
from panelwear.folder.hours import HOURS_KEYS, KINDS, WITHIN, record_faults

FORMAT = "panelwear checkpoint 2"
FORMER_FORMAT = "panelwear checkpoint 1"
"""Of version 0.1.0, which called a session a sitting."""
DIGEST = "record_sha256"
"""Key of the record's own digest, of everything but this key."""


@dataclass(frozen=True, slots=True)
class _SegmentRecord:
    first_row: int


@dataclass(frozen=True, slots=True)
class _HeldRecord:
    step: int


@dataclass(frozen=True, slots=True)
class _ZoneRecord:
    name: str
    rect_px: tuple[int, int, int, int]
    probe_at_px: tuple[float, float]


@dataclass(frozen=True, slots=True)
class _SessionRecord:
    """What the program works with of a session; the rest is there for people."""

    number: int
    sequence: str
    sequence_file: str
    status: str
    seed: int
    segments: tuple[_SegmentRecord, ...] = field(metadata=LOOSE)
    response: dict[str, dict[str, Any]] = field(default_factory=dict)
    placements: dict[str, dict[str, Any]] = field(default_factory=dict)
    digests: dict[str, Any] = field(default_factory=dict)
    probe: dict[str, Any] = field(default_factory=dict)
    screen: dict[str, Any] | None = None
    noise: dict[str, Any] | None = None
    held: tuple[_HeldRecord, ...] = field(default=(), metadata=LOOSE)
    known_cd_m2: tuple[tuple[str, float], ...] = field(default=(), metadata=LOOSE)
    zones: tuple[_ZoneRecord, ...] = field(default=(), metadata=LOOSE)
    warm_up_minutes: float | None = None
    steps: int | None = None


@dataclass(frozen=True, slots=True)
class _JournalRecord:
    """How far ``readings.csv`` was written when the record was."""

    rows: int = field(metadata=limits(low=0))
    size_bytes: int = field(metadata=limits(low=0))
    sha256: str


@dataclass(frozen=True, slots=True)
class _Record:
    """What the program works with of a checkpoint."""

    format: str = field(metadata=one_of([FORMAT]))
    hours: float = field(metadata=WITHIN)
    status: Literal["open", "closed"]
    started_utc: str
    sessions: tuple[_SessionRecord, ...] = field(metadata=LOOSE)
    cycles: int | None = None
    answers: dict[str, str] = field(default_factory=dict)
    digests_at_close: dict[str, str] = field(default_factory=dict)
    readings: _JournalRecord | None = None
    hours_kind: str = field(default="read", metadata=one_of(KINDS))
    hours_low: float | None = field(default=None, metadata=WITHIN)
    hours_high: float | None = field(default=None, metadata=WITHIN)

    def faults(self) -> Iterator[tuple[str, str]]:
        """Say where sessions are not numbered one after the other, and hours do not lie within their range."""
        for number, session in enumerate(self.sessions, start=1):
            if session.number != number:
                yield f"sessions[{number}].number", f"is {session.number}; wanted {number}"
        yield from record_faults(self.hours, self.hours_kind, self.hours_low, self.hours_high)


def upgraded(record: Any) -> Any:
    """Return a record of version 0.1.0 as it is written now; any other as it is. The file itself is not touched."""
    if not isinstance(record, dict) or record.get("format") != FORMER_FORMAT:
        return record
    return {("sessions" if key == "sittings" else key): value for key, value in record.items()} | {"format": FORMAT}


def read_record(path: Path) -> dict[str, Any]:
    """Read ``checkpoint.json``, one of version 0.1.0 too; ``FileFault`` lists what could not be worked with."""
    return checked_record(load_json(path), path.name)


def checked_record(data: Any, file: str) -> dict[str, Any]:
    """Return a record that can be worked with, one of version 0.1.0 too; else ``FileFault`` with every fault."""
    record: dict[str, Any] = upgraded(data)
    read(_Record, record, file, FileFault, unknown_too=False)
    return record


def digest(record: dict[str, Any]) -> str:
    """Digest what a record says, whatever the order of its keys and the spaces between them."""
    said = json.loads(json.dumps({key: value for key, value in record.items() if key != DIGEST}, allow_nan=False))
    return hashlib.sha256(json.dumps(said, sort_keys=True, separators=(",", ":")).encode()).hexdigest()


def is_interrupted(session: Mapping[str, Any]) -> bool:
    """Tell whether a session of a record was broken off and can be gone on with; a by-eye check never can."""
    return session["status"] != "done" and "steps" in session


@dataclass(frozen=True, slots=True)
class _Amendment:
    utc: str
    text: str
    by: str = ""
    set: dict[str, str | float | int] = field(default_factory=dict)
    """What is corrected, and to what."""
    was: dict[str, Any] = field(default_factory=dict)
    """What the record says of the same keys."""

    def faults(self) -> Iterator[tuple[str, str]]:
        """Say where hours are set to what a record could not hold."""
        stated = {key: value for key, value in self.set.items() if key in ("hours", *HOURS_KEYS)}
        try:
            found = read(_SetHours, stated, "set", FileFault)
        except FileFault as error:
            for problem in error.problems:
                _, key, sentence = problem.split(": ", 2)
                yield f"set.{key}", sentence
            return
        if {"hours", "hours_kind"} <= stated.keys():
            for key, sentence in record_faults(found.hours, found.hours_kind, found.hours_low, found.hours_high):
                yield f"set.{key}", sentence


@dataclass(frozen=True, slots=True)
class _SetHours:
    """What an amendment says of hours."""

    hours: float = field(default=0.0, metadata=WITHIN)
    hours_kind: str = field(default="read", metadata=one_of(KINDS))
    hours_low: float | None = field(default=None, metadata=WITHIN)
    hours_high: float | None = field(default=None, metadata=WITHIN)


@dataclass(frozen=True, slots=True)
class _Amendments:
    amendments: tuple[_Amendment, ...] = field(metadata=LOOSE)


def checked_amendments(data: Any, file: str) -> list[dict[str, Any]]:
    """Return amendments that can be worked with, oldest first; else ``FileFault`` with every fault."""
    read(_Amendments, {"amendments": data}, file, FileFault, unknown_too=False)
    listed: list[dict[str, Any]] = data
    return listed
