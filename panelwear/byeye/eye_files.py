"""Files of the by-eye check: ``marks.csv`` and ``matches.csv`` written and checked, zones added to ``panel.toml``.

Both CSVs are written whole at every change, their metadata beside them.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from groundwork.documents import parse_toml
from groundwork.files import LARGEST_TABLE, opened
from groundwork.tables import LOOSE, read
from panelwear.atomic import write_whole
from panelwear.errors import FileFault, UsageError
from panelwear.folder.checkpoint import Checkpoint, all_of
from panelwear.folder.files import zone_block
from panelwear.readings import marks, records, store
from panelwear.readings.csvw import metadata
from panelwear.readings.marks import STRENGTHS, Mark
from panelwear.readings.matches import MatchResult, matches_file
from panelwear.readings.soundness import mark_faults, match_faults
from patterns.frame import Rect
from sequences.model import Zone

Record = TypeVar("Record")
SAME_PLACE = 0.25
"""Two marks are taken for the same from this share of their joint area on."""
FORBIDDEN_IN_NAMES = '"/\\ \t\r\n'


def _read(path: Path, kind: type[Record]) -> list[Record]:
    return store.read(path, kind) if path.exists() else []


def _write(path: Path, kind: type, rows: Sequence[object], *, title: str) -> None:
    described = path.with_name(f"{path.name}-metadata.json")
    description = metadata(path.name, kind, title=title)
    # One of version 0.1.0 tells columns by their former names, and the CSV is written whole under today's.
    if not described.exists() or described.read_bytes() != description:
        write_whole(described, description)
    write_whole(path, records.header(kind) + b"".join(map(records.record_line, rows)))


class EyeFindings:
    """What the eye found at one checkpoint; what other sessions of it found stays in front."""

    def __init__(self, checkpoint: Checkpoint) -> None:
        """Read what is there.

        Raises:
            FileFault: a file was changed into something that cannot be read.
        """
        self.directory = checkpoint.directory
        self.name = checkpoint.name
        self.earlier_sessions = _read(self.directory / marks.FILE, Mark)
        self.matches = _read(matches_file(self.directory), MatchResult)
        self.marks: list[Mark] = []
        self._taken_back: dict[int, Mark] = {}

    @property
    def all_marks(self) -> list[Mark]:
        """Marks of every session."""
        return [*self.earlier_sessions, *self.marks]

    @property
    def next_mark(self) -> int:
        """Number of this session's first mark."""
        return max((m.mark for m in self.earlier_sessions), default=0) + 1

    @property
    def next_match(self) -> int:
        """Number of the next match."""
        return max((n.match for n in self.matches), default=0) + 1

    def take_back(self, number: int) -> None:
        """Take a mark of an earlier session out of the file."""
        self._taken_back |= {mark.mark: mark for mark in self.earlier_sessions if mark.mark == number}
        self.earlier_sessions = [mark for mark in self.earlier_sessions if mark.mark != number]
        self.keep_marks(self.marks)

    def put_back(self, number: int) -> None:
        """Put a mark back that ``take_back`` took."""
        back = self._taken_back.pop(number)
        self.earlier_sessions = sorted([*self.earlier_sessions, back], key=lambda mark: mark.mark)
        self.keep_marks(self.marks)

    def keep_marks(self, of_this_session: Sequence[Mark]) -> None:
        """Write the marks of this session behind those of earlier ones."""
        self.marks = list(of_this_session)
        title = f"Marks made by eye at checkpoint {self.name}"
        _write(self.directory / marks.FILE, Mark, self.all_marks, title=title)

    def add_match(self, row: MatchResult) -> None:
        """Write one more match."""
        self.matches.append(row)
        title = f"Contrasts measured by eye at checkpoint {self.name}"
        _write(matches_file(self.directory), MatchResult, self.matches, title=title)


def earlier_marks(panel_dir: Path, now: Checkpoint) -> list[Mark]:
    """Return the marks of the last checkpoint before this one that has any."""
    for checkpoint in reversed(_earlier_checkpoints(panel_dir, now)):
        if rows := _read(checkpoint.directory / marks.FILE, Mark):
            return rows
    return []


def earlier_matches(panel_dir: Path, now: Checkpoint) -> list[MatchResult]:
    """Return the matches of all checkpoints before this one, oldest first."""
    return [row for c in _earlier_checkpoints(panel_dir, now) for row in _read(matches_file(c.directory), MatchResult)]


def _earlier_checkpoints(panel_dir: Path, now: Checkpoint) -> list[Checkpoint]:
    # One made late for fewer hours has later ones beside it.
    return [c for c in all_of(panel_dir) if (c.hours, c.name) < (now.hours, now.name)]


def compared_marks(now: Sequence[Mark], last_time: Sequence[Mark]) -> tuple[str, ...]:
    """Say, a sentence each, which of last time's marks were seen again, stronger or weaker, or not."""
    sentences = []
    for old in last_time:
        new = max(now, key=lambda m: _overlap(m, old), default=None)
        name = f"{old.name} ({old.kind}, {old.strength} last time)"
        if new is None or _overlap(new, old) < SAME_PLACE:
            sentences.append(f"{name}: not marked this time")
            continue
        step = STRENGTHS.index(new.strength) - STRENGTHS.index(old.strength)
        word = "as strong" if step == 0 else "stronger" if step > 0 else "weaker"
        sentences.append(f"{name}: seen again, {word}: {new.strength}")
    return tuple(sentences)


def _overlap(one: Mark, other: Mark) -> float:
    a, b = one.rect, other.rect
    w = min(a.right, b.right) - max(a.x, b.x)
    h = min(a.bottom, b.bottom) - max(a.y, b.y)
    if w <= 0 or h <= 0:
        return 0.0
    return w * h / (a.area + b.area - w * h)


def record_of(path: Path) -> type[Mark] | type[MatchResult] | None:
    """Tell which of the two files this is, by its header line."""
    with opened(path, LARGEST_TABLE)[0] as file:
        first = file.read(4096).decode("utf-8", "replace").splitlines()[:1]
    header = next(csv.reader(first), [])
    return next((kind for kind in (Mark, MatchResult) if records.is_header(header, kind)), None)


def faults_of(path: Path) -> tuple[str, ...]:
    """Return every fault of a marks or matches file, each with record and column."""
    kind = record_of(path)
    try:
        if kind is MatchResult:
            return tuple(match_faults(store.read(path, MatchResult), path.name))
        return tuple(mark_faults(store.read(path, Mark), path.name))
    except FileFault as error:
        return error.problems


@dataclass(frozen=True, slots=True)
class _ZoneName:
    name: str


@dataclass(frozen=True, slots=True)
class _Zones:
    """All that must be known of a panel file before a zone is added; it is read whole when the panel is."""

    zones: tuple[_ZoneName, ...] = field(default=(), metadata=LOOSE)


def _checked(name: str) -> str:
    if not name or any(sign in FORBIDDEN_IN_NAMES for sign in name) or not name.isprintable():
        raise UsageError(f"'{name}' cannot be a zone's name: use one word without spaces, slashes or quotes")
    return name


def add_zone(panel_file: Path, name: str, rect: Rect, comment: str) -> None:
    """Append a zone to a ``panel.toml``; raises what ``with_zone`` does, and ``OSError``."""
    text = panel_file.read_bytes().decode("utf-8")
    write_whole(panel_file, with_zone(text, name, rect, comment=comment).encode())


def with_zone(text: str, name: str, rect: Rect, reference: str = "", comment: str = "") -> str:
    """Return ``panel.toml``'s text with one more zone; everything before it stays as it was, byte for byte.

    A file that ends its lines with CR LF gets a block that does so too.

    Raises:
        FileFault: the text is no TOML, before or after.
        UsageError: the name is taken, or is not a word, or the reference is no zone.
    """
    there = _zone_names(text)
    if name in there:
        raise UsageError(f"panel.toml already has a zone '{name}': choose another name")
    if reference and reference not in there:
        raise UsageError(f"panel.toml has no zone '{reference}' to refer to; there are {', '.join(there) or 'none'}")
    newline = "\r\n" if "\r\n" in text else "\n"
    block = zone_block(Zone(_checked(name), rect, rect.centre, reference))
    if comment:
        block = f"\n# {' '.join(comment.split())}{block}"
    longer = text + ("" if not text or text.endswith("\n") else newline) + block.replace("\n", newline)
    _zone_names(longer)
    return longer


def _zone_names(text: str) -> list[str]:
    try:
        data = parse_toml(text, "panel.toml", FileFault)
        return [zone.name for zone in read(_Zones, data, "panel.toml", FileFault, unknown_too=False).zones]
    except FileFault as error:
        raise FileFault((f"{error}; correct it before a zone can be added",)) from None
