"""``marks.csv`` and ``matches.csv`` of a checkpoint: written whole at every change, metadata beside them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TypeVar

from panelwear.atomic import write_whole
from panelwear.folder.checkpoint import Checkpoint, all_of
from panelwear.readings import marks, records, store
from panelwear.readings.csvw import metadata
from panelwear.readings.marks import Mark
from panelwear.readings.matches import MatchResult, matches_file

Record = TypeVar("Record")


def _read(path: Path, kind: type[Record]) -> list[Record]:
    return store.read(path, kind) if path.exists() else []


def _write(path: Path, kind: type, rows: Sequence[object], *, title: str) -> None:
    described = path.with_name(f"{path.name}-metadata.json")
    description = metadata(path.name, kind, title=title)
    # One of version 0.1.0 tells columns by their former names, and the CSV is written whole under today's.
    if not described.exists() or described.read_bytes() != description:
        write_whole(described, description)
    write_whole(path, records.header(kind) + b"".join(map(records.record_line, rows)))


class Finds:
    """What the eye found at one checkpoint; what other sessions of it found stays in front."""

    def __init__(self, checkpoint: Checkpoint) -> None:
        """Read what is there.

        Raises:
            FileFault: a file was changed into something that cannot be read.
        """
        self.directory = checkpoint.directory
        self.name = checkpoint.name
        self.before = _read(self.directory / marks.FILE, Mark)
        self.matches = _read(matches_file(self.directory), MatchResult)
        self.marks: list[Mark] = []

    @property
    def all_marks(self) -> list[Mark]:
        """Marks of every session."""
        return [*self.before, *self.marks]

    @property
    def next_mark(self) -> int:
        """Number of this session's first mark."""
        return max((m.mark for m in self.before), default=0) + 1

    @property
    def next_match(self) -> int:
        """Number of the next match."""
        return max((n.match for n in self.matches), default=0) + 1

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
    for checkpoint in reversed(_before(panel_dir, now)):
        if found := _read(checkpoint.directory / marks.FILE, Mark):
            return found
    return []


def earlier_matches(panel_dir: Path, now: Checkpoint) -> list[MatchResult]:
    """Return the matches of all checkpoints before this one, oldest first."""
    return [row for c in _before(panel_dir, now) for row in _read(matches_file(c.directory), MatchResult)]


def _before(panel_dir: Path, now: Checkpoint) -> list[Checkpoint]:
    # One made late for fewer hours has later ones beside it.
    return [c for c in all_of(panel_dir) if (c.hours, c.name) < (now.hours, now.name)]


def compared(now: Sequence[Mark], before: Sequence[Mark]) -> tuple[str, ...]:
    """Say, a sentence each, which of last time's marks were seen again, stronger or weaker, or not."""
    told = []
    for old in before:
        again = max(now, key=lambda m: _overlap(m, old), default=None)
        name = f"{old.name} ({old.kind}, {old.strength} last time)"
        if again is None or _overlap(again, old) < SAME_PLACE:
            told.append(f"{name}: not marked this time")
            continue
        step = marks.STRENGTHS.index(again.strength) - marks.STRENGTHS.index(old.strength)
        word = "as strong" if step == 0 else "stronger" if step > 0 else "weaker"
        told.append(f"{name}: seen again, {word}: {again.strength}")
    return tuple(told)


SAME_PLACE = 0.25
"""Two marks are taken for the same from this share of their joint area on."""


def _overlap(one: Mark, other: Mark) -> float:
    a, b = one.rect, other.rect
    w = min(a.right, b.right) - max(a.x, b.x)
    h = min(a.bottom, b.bottom) - max(a.y, b.y)
    if w <= 0 or h <= 0:
        return 0.0
    return w * h / (a.area + b.area - w * h)
