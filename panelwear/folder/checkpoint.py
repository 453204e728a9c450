"""A checkpoint's folder: its record, its readings, its sittings; never edited once it is closed."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from panelwear import __version__
from panelwear.errors import FileFault, StorageFault, UsageError
from panelwear.folder.atomic import sha256_of, write_json, write_whole
from panelwear.journal import store
from panelwear.journal.columns import COLUMNS
from panelwear.journal.csvw import metadata_bytes
from panelwear.journal.row import Row
from panelwear.table import ReadingTable, from_rows

FORMAT = "panelwear checkpoint 1"
READINGS = "readings.csv"
_NOT_DIGESTED = {"checkpoint.json", "amendments.json"}


def stamp(moment: datetime) -> str:
    """Write a moment as ISO 8601 UTC with milliseconds."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


class Checkpoint:
    """One folder below ``checkpoints/``; every change of the record is on the disk at once."""

    def __init__(self, directory: Path, record: dict[str, Any]) -> None:
        self.directory = directory
        self.record = record

    @property
    def name(self) -> str:
        """Name of the folder."""
        return self.directory.name

    @property
    def hours(self) -> float:
        """Hours of use the panel had."""
        return float(self.record["hours"])

    @property
    def is_closed(self) -> bool:
        """Whether it may no longer be edited."""
        return self.record.get("status") == "closed"

    @property
    def readings_path(self) -> Path:
        """The journal, which is also the result."""
        return self.directory / READINGS

    @property
    def sitting(self) -> dict[str, Any]:
        """Record of the last sitting."""
        sittings: list[dict[str, Any]] = self.record["sittings"]
        if not sittings:
            raise UsageError(f"{self.name}: nothing was begun in this checkpoint yet")
        return sittings[-1]

    def save(self) -> None:
        """Write ``checkpoint.json``."""
        if self.is_closed and (self.directory / "checkpoint.json").exists():
            on_disk = json.loads((self.directory / "checkpoint.json").read_text(encoding="utf-8"))
            if on_disk.get("status") == "closed":
                raise UsageError(f"{self.name}: is closed and is not edited any more; see 'panelwear close --amend'")
        write_json(self.directory / "checkpoint.json", self.record)

    def rows(self) -> list[Row]:
        """Read all stored rows (none when nothing was read yet)."""
        return store.read_journal(self.readings_path, Row) if self.readings_path.exists() else []

    def table(self) -> ReadingTable:
        """Return the readings as a tidy table."""
        starts = [s["first_row"] for sitting in self.record["sittings"] for s in sitting.get("segments", [])]
        return from_rows(self.rows(), checkpoint=self.name, segment_starts=starts or (1,))

    def open_journal(self) -> store.Store[Row]:
        """Open ``readings.csv`` for appending, its metadata written before the first row."""
        return store.Store(self.readings_path, Row, journal_metadata(self.name))

    def begin_sitting(
        self, *, sequence: str, source: bytes, seed: int, now: datetime, facts: dict[str, Any]
    ) -> dict[str, Any]:
        """Record that a stretch of work begins; the sequence is stored exactly as it is run."""
        number = len(self.record["sittings"]) + 1
        file = "sequence.toml" if number == 1 else f"sequence-{number}.toml"
        write_whole(self.directory / file, source)
        sitting = {
            "number": number,
            "sequence": sequence,
            "sequence_file": file,
            "sequence_sha256": sha256_of(self.directory / file),
            "seed": seed,
            "status": "running",
            "started_utc": stamp(now),
            "segments": [],
            **facts,
        }
        self.record["sittings"].append(sitting)
        self.save()
        return sitting

    def begin_segment(self, first_row: int, why: str, now: datetime) -> None:
        """Record that drift starts anew: the first row of the segment, and why."""
        self.sitting["segments"].append({"first_row": first_row, "why": why, "started_utc": stamp(now)})
        self.save()

    def close(self, now: datetime) -> None:
        """Store the digest of every file and refuse further edits."""
        if self.is_closed:
            raise UsageError(f"{self.name}: is closed already")
        files = sorted(p for p in self.directory.rglob("*") if p.is_file() and p.name not in _NOT_DIGESTED)
        self.record["digests_at_close"] = {p.relative_to(self.directory).as_posix(): sha256_of(p) for p in files}
        self.record["closed_utc"] = stamp(now)
        self.record["status"] = "closed"
        write_json(self.directory / "checkpoint.json", self.record)

    def changed_since_close(self) -> tuple[str, ...]:
        """Name the files that differ from what was digested at closing."""
        wanted: dict[str, str] = self.record.get("digests_at_close", {})
        differing = []
        for name, digest in wanted.items():
            path = self.directory / name
            if not path.exists():
                differing.append(f"{self.name}/{name}: is gone since the checkpoint was closed")
            elif sha256_of(path) != digest:
                differing.append(f"{self.name}/{name}: was changed after the checkpoint was closed")
        return tuple(differing)


def journal_metadata(name: str) -> bytes:
    """Make the CSVW metadata of ``readings.csv``."""
    return metadata_bytes(READINGS, COLUMNS, title=f"Patch readings of checkpoint {name}", primary_key="row")


def load(directory: Path) -> Checkpoint:
    """Read one checkpoint."""
    path = directory / "checkpoint.json"
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise StorageFault(f"{path}: is missing; this folder is not a checkpoint") from None
    except (json.JSONDecodeError, UnicodeDecodeError) as error:
        raise FileFault((f"{path.name}: {error}; restore it from a copy",)) from None
    if record.get("format") != FORMAT:
        raise FileFault((f"{path.name}: format: '{record.get('format')}' is not '{FORMAT}'",))
    return Checkpoint(directory, record)


def all_of(panel_dir: Path) -> list[Checkpoint]:
    """Load all checkpoints of a panel, by hours and then by name."""
    found = [load(p.parent) for p in sorted((panel_dir / "checkpoints").glob("*/checkpoint.json"))]
    return sorted(found, key=lambda c: (c.hours, c.name))


def find(panel_dir: Path, name: str | None) -> Checkpoint:
    """Find a checkpoint by the name of its folder, or the open one, or else the last."""
    there = all_of(panel_dir)
    if not there:
        raise UsageError(f"{panel_dir}: has no checkpoint yet; 'panelwear inspect' makes the first one")
    if name is None:
        still_open = [c for c in there if not c.is_closed]
        return (still_open or there)[-1]
    for checkpoint in there:
        if checkpoint.name == name:
            return checkpoint
    raise UsageError(f"{panel_dir}: has no checkpoint '{name}'; there are {', '.join(c.name for c in there)}")


def open_or_create(
    panel_dir: Path, panel_name: str, hours: float | None, cycles: int | None, now: datetime
) -> Checkpoint:
    """Go on with the open checkpoint at these hours, or begin a new one.

    Without ``hours`` only the open checkpoint will do. ``UsageError`` says what stands in the way.
    """
    there = all_of(panel_dir)
    still_open = [c for c in there if not c.is_closed]
    if still_open and (hours is None or still_open[-1].hours == hours):
        return still_open[-1]
    if hours is None:
        raise UsageError("no checkpoint is open; say the panel's hours of use with --hours H")
    if still_open:
        other = still_open[-1]
        raise UsageError(
            f"checkpoint {other.name} is still open; end it with 'panelwear close {panel_dir}' "
            f"or go on with it with --hours {other.hours:g}"
        )
    if there and hours < there[-1].hours:
        raise UsageError(f"--hours {hours:g}: the last checkpoint was at {there[-1].hours:g} h; hours only rise")
    base = f"{now.date().isoformat()}-h{hours:g}"
    taken = {c.name for c in there}
    name = base if base not in taken else next(f"{base}-{n}" for n in range(2, 1000) if f"{base}-{n}" not in taken)
    directory = panel_dir / "checkpoints" / name
    try:
        (directory / "photos").mkdir(parents=True)
    except OSError as error:
        raise StorageFault(f"{directory}: cannot be made ({error.strerror})") from None
    record = {
        "format": FORMAT,
        "software": f"panelwear {__version__}",
        "panel": panel_name,
        "hours": hours,
        "cycles": cycles,
        "status": "open",
        "started_utc": stamp(now),
        "answers": {},
        "sittings": [],
    }
    checkpoint = Checkpoint(directory, record)
    checkpoint.save()
    return checkpoint


def last_answers(panel_dir: Path, before: Checkpoint | None = None) -> dict[str, str]:
    """Collect the newest answer to every question, to be the next time's defaults."""
    merged: dict[str, str] = {}
    for checkpoint in all_of(panel_dir):
        if before is None or checkpoint.name != before.name:
            merged.update(checkpoint.record.get("answers", {}))
    return merged
