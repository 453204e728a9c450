"""A checkpoint's folder: its record, its readings, its sessions; never edited once it is closed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from panelwear import __version__
from panelwear.atomic import sha256_of, write_json, write_whole
from panelwear.errors import FileFault, StorageFault, UsageError
from panelwear.folder.amendments import corrected, value_of
from panelwear.folder.evidence_files import evidence_files
from panelwear.folder.files import expect_panel_folder, free_folder, load_json
from panelwear.folder.hours import MOST_H, Hours, HoursOfUse, as_hours, hours_told, recorded, refuse_fewer
from panelwear.folder.record import DIGEST, FORMAT, checked_amendments, digest, read_record
from panelwear.readings import store
from panelwear.readings.by_column import ByColumn, nothing_of, read_columns
from panelwear.readings.csvw import metadata
from panelwear.readings.row import Row
from panelwear.readings.scan import Written
from panelwear.readings.table import ReadingTable, table_of

CHECKPOINTS = "checkpoints"
RECORD = "checkpoint.json"
AMENDMENTS = "amendments.json"
READINGS = "readings.csv"
WRITTEN = "readings"
"""Key of how far ``readings.csv`` was written when the record was: rows, bytes, digest."""
PHOTOS = "photos/"
_NOT_DIGESTED = {RECORD, AMENDMENTS}
_OF_A_CHECKPOINT = ("readings*.csv", "sequence*.toml", "marks.csv", "matches.csv", "nulls.csv", AMENDMENTS)
"""What tells that a folder was a checkpoint, although its record is gone."""


def stamp(moment: datetime) -> str:
    """Write a moment as ISO 8601 UTC with milliseconds."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


class Checkpoint:
    """One folder below ``checkpoints/``; every change of the record is on the disk at once."""

    def __init__(self, directory: Path, record: dict[str, Any], amended: Sequence[Mapping[str, Any]] = ()) -> None:
        self.directory = directory
        self.record = record
        self._amended = tuple(amended)

    @property
    def name(self) -> str:
        """Name of the folder."""
        return self.directory.name

    @property
    def hours(self) -> float:
        """Hours of use the panel had."""
        return float(self.corrected["hours"])

    @property
    def use(self) -> HoursOfUse:
        """The same with how they are known."""
        return recorded(self.corrected)

    @property
    def corrected(self) -> dict[str, Any]:
        """The record with what was amended; never written in its place."""
        return corrected(self.record, self._amended)

    @property
    def is_closed(self) -> bool:
        """Whether it may no longer be edited."""
        return self.record.get("status") == "closed"

    @property
    def readings_path(self) -> Path:
        """The journal, which is also the result."""
        return self.directory / READINGS

    @property
    def session(self) -> dict[str, Any]:
        """Record of the last session."""
        sessions: list[dict[str, Any]] = self.record["sessions"]
        if not sessions:
            raise UsageError(
                f"{self.name}: nothing was begun in this checkpoint yet; 'panelwear inspect' with --hours "
                f"{self.use.text} begins"
            )
        return sessions[-1]

    @property
    def record_path(self) -> Path:
        """``checkpoint.json``."""
        return self.directory / RECORD

    def save(self) -> None:
        """Write ``checkpoint.json``, unless the one on the disk is closed."""
        if self.record_path.exists() and read_record(self.record_path)["status"] == "closed":
            raise UsageError(f"{self.name}: is closed and is not edited any more; see 'panelwear close --amend'")
        write_json(self.record_path, self.record)

    def rows(self) -> list[Row]:
        """Read all stored rows (none when nothing was read yet)."""
        return store.read_journal(self.readings_path, Row) if self.readings_path.exists() else []

    def columns(self) -> ByColumn:
        """Read all stored rows column by column, as figures need them; of a large file too."""
        if not self.readings_path.exists():
            return nothing_of(Row)
        return read_columns(self.readings_path, Row)

    def table(self, columns: ByColumn | None = None) -> ReadingTable:
        """Return the readings, or some of their rows, as a tidy table."""
        starts = [s["first_row"] for session in self.record["sessions"] for s in session.get("segments", [])]
        found = self.columns() if columns is None else columns
        return table_of(found, checkpoint=self.name, segment_starts=starts or (1,))

    def open_journal(self) -> store.Store[Row]:
        """Open ``readings.csv`` for appending, its metadata written before the first row."""
        return store.Store(self.readings_path, Row, journal_metadata(self.name))

    def note_written(self, written: Written) -> None:
        """Note how far the readings are written; on the disk with the next ``save``."""
        self.record[WRITTEN] = asdict(written)

    def begin_session(
        self, *, sequence: str, source: bytes, seed: int, now: datetime, facts: dict[str, Any]
    ) -> dict[str, Any]:
        """Record that a stretch of work begins; the sequence is stored exactly as it is run."""
        number = len(self.record["sessions"]) + 1
        file = "sequence.toml" if number == 1 else f"sequence-{number}.toml"
        write_whole(self.directory / file, source)
        session = {
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
        self.record["sessions"].append(session)
        self.save()
        return session

    def begin_segment(self, first_row: int, why: str, now: datetime) -> None:
        """Record that drift starts anew: the first row of the segment, and why."""
        self.session["segments"].append({"first_row": first_row, "why": why, "started_utc": stamp(now)})
        self.save()

    def close(self, now: datetime) -> None:
        """Store the digest of every file and of the record itself, and refuse further edits."""
        if self.is_closed or (self.record_path.exists() and read_record(self.record_path)["status"] == "closed"):
            raise UsageError(f"{self.name}: is closed already")
        closed = {
            **self.record,
            "digests_at_close": {
                name: sha256_of(self.directory / name) for name in evidence_files(self.directory, _NOT_DIGESTED)
            },
            "closed_utc": stamp(now),
            "status": "closed",
        }
        closed[DIGEST] = digest(closed)
        write_json(self.record_path, closed)
        self.record = closed

    def amendments(self) -> list[dict[str, Any]]:
        """Return what was found wrong after closing, oldest first; ``FileFault`` when the file was damaged."""
        path = self.directory / AMENDMENTS
        return checked_amendments(load_json(path), AMENDMENTS) if path.exists() else []

    def amend(self, text: str, now: datetime, changes: Mapping[str, Any] | None = None, by: str = "") -> None:
        """Say what was found wrong, after closing or in what was answered; record and readings themselves stay.

        Args:
            text: why, in a person's words.
            now: when.
            changes: answers, hours or cycles with what they should have been.
            by: who says so.
        """
        if not self.is_closed and not changes:
            raise UsageError(f"{self.name} is still open; an amendment is for a closed checkpoint")
        entry: dict[str, Any] = {"utc": stamp(now), "text": text}
        if by:
            entry["by"] = by
        if changes:
            entry |= {"set": {**changes}, "was": {key: value_of(self.corrected, key) for key in changes}}
        listed = [*self.amendments(), entry]
        write_json(self.directory / AMENDMENTS, listed)
        self._amended = tuple(listed)

    def changed_since_close(self, *, photographs: bool = True) -> tuple[str, ...]:
        """Name the files that were changed, taken away or added since closing; only amendments are welcome.

        Every file is read for it; ``photographs``: those too, which no figure rests on.
        """
        sealed: dict[str, str] | None = self.record.get("digests_at_close")
        if sealed is None:
            return ()
        wanted = {name: was for name, was in sealed.items() if photographs or not name.startswith(PHOTOS)}
        said = []
        stored = load_json(self.record_path)  # as it is on the disk: a record of version 0.1.0 was sealed in its words
        if DIGEST in stored and digest(stored) != stored[DIGEST]:
            said.append(f"{self.name}/{RECORD}: was changed after the checkpoint was closed")
        for name, before in wanted.items():
            path = self.directory / name
            if not path.exists():
                said.append(f"{self.name}/{name}: is gone since the checkpoint was closed")
            elif sha256_of(path) != before:
                said.append(f"{self.name}/{name}: was changed after the checkpoint was closed")
        added = [name for name in evidence_files(self.directory, _NOT_DIGESTED) if name not in sealed]
        return (*said, *(f"{self.name}/{name}: was added after the checkpoint was closed" for name in added))


def journal_metadata(name: str) -> bytes:
    """Make the CSVW metadata of ``readings.csv``."""
    return metadata(READINGS, Row, title=f"Patch readings of checkpoint {name}")


def load(directory: Path) -> Checkpoint:
    """Read one checkpoint; ``FileFault`` lists what is wrong with its record."""
    path = directory / RECORD
    if not path.exists():
        raise StorageFault(f"{path}: is missing; this folder is not a checkpoint")
    record = read_record(path)
    try:
        amended = Checkpoint(directory, record).amendments()
    except FileFault:
        amended = []  # told by whoever asks for the integrity of its files
    return Checkpoint(directory, record, amended)


@dataclass(frozen=True, slots=True)
class Lost:
    """A folder that was a checkpoint and cannot be read as one any more."""

    directory: Path
    problems: tuple[str, ...]

    @property
    def name(self) -> str:
        """Name of the folder."""
        return self.directory.name


def folders_of(panel_dir: Path) -> list[Path]:
    """List the folders below ``checkpoints/``, none where there is no such folder; ``StorageFault``: unreadable."""
    checkpoints = panel_dir / CHECKPOINTS
    try:
        # A glob would pass over a folder that may not be read, as if nothing had ever been inspected.
        return sorted(path for path in checkpoints.iterdir() if path.is_dir())
    except FileNotFoundError:
        return []
    except OSError as error:
        raise StorageFault(f"{checkpoints}: cannot be read ({error.strerror})") from None


def survey(panel_dir: Path) -> tuple[list[Checkpoint], list[Lost]]:
    """Load all checkpoints of a panel, by hours and then by name, and tell those that cannot be read."""
    found, lost = [], []
    for folder in folders_of(panel_dir):
        try:
            if (folder / RECORD).exists() or any(True for sign in _OF_A_CHECKPOINT for _ in folder.glob(sign)):
                [*folder.iterdir()]
                found.append(load(folder))
        except FileFault as error:
            lost.append(Lost(folder, tuple(f"{folder.name}/{problem}" for problem in error.problems)))
        except StorageFault as error:
            missing = f"{folder.name}/{RECORD}: is missing, and other files are there; restore it from a copy"
            sentence = str(error) if (folder / RECORD).exists() else missing
            lost.append(Lost(folder, (sentence,)))
        except OSError as error:
            lost.append(Lost(folder, (f"{folder.name}: cannot be read ({error.strerror})",)))
    return sorted(found, key=lambda c: (c.hours, c.name)), lost


def all_of(panel_dir: Path) -> list[Checkpoint]:
    """Load all checkpoints of a panel, by hours and then by name; ``FileFault`` where one cannot be read.

    Left out in silence, it would leave its place, the baseline's even, to the next.
    """
    found, lost = survey(panel_dir)
    if lost:
        aside = f"or set it aside with 'panelwear discard {panel_dir} {lost[0].name} --why …'"
        raise FileFault((*(problem for one in lost for problem in one.problems), aside))
    return found


def find(panel_dir: Path, name: str | None) -> Checkpoint:
    """Find a checkpoint by the name of its folder, or the open one, or else the last."""
    expect_panel_folder(panel_dir)
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
    panel_dir: Path, panel_name: str, hours: Hours | None, cycles: int | None, now: datetime
) -> Checkpoint:
    """Go on with the open checkpoint at these hours, or begin a new one.

    Without ``hours`` only the open checkpoint will do. A new folder is named after the date of ``now`` in the zone that
    ``now`` is given in; the times in the record are UTC. ``UsageError`` says what stands in the way.
    """
    found = gone_on_with(panel_dir, hours, cycles)
    if found is None:
        return _created(panel_dir, panel_name, as_hours(hours or 0.0), cycles, now)
    news: dict[str, Any] = {}
    if cycles is not None and cycles != found.corrected.get("cycles"):
        news["cycles"] = cycles
    # Bare hours go on with whatever was stated first; any other way of knowing them is news.
    if hours is not None and (stated := as_hours(hours)).kind != "read" and stated != found.use:
        news |= stated.keys()
    if news:
        found.record.update(news)
        found.save()
    return found


def gone_on_with(panel_dir: Path, hours: Hours | None, cycles: int | None) -> Checkpoint | None:
    """Return the open checkpoint that is meant, ``None`` where a new one is to be begun; no file is changed.

    Raises:
        UsageError: what stands in the way.
        FileFault: a checkpoint cannot be read.
    """
    use = None if hours is None else as_hours(hours)
    if use is not None and not (0 <= use.low <= use.high <= MOST_H):
        raise UsageError(f"--hours {use.text}: wanted a number from 0 to {MOST_H:.0f} h")
    there = all_of(panel_dir)
    still_open = [c for c in there if not c.is_closed]
    if still_open and (use is None or still_open[-1].hours == use.value):
        _refuse_other_cycles(still_open[-1], cycles, panel_dir)
        return still_open[-1]
    if use is None:
        raise UsageError("no checkpoint is open; say the panel's hours of use with --hours H")
    if still_open:
        other = still_open[-1]
        raise UsageError(
            f"checkpoint {other.name} is still open; end it with 'panelwear close {panel_dir}' "
            f"or go on with it with --hours {other.use.quoted}"
        )
    if there:
        refuse_fewer(there[-1].use, use)
    return None


def _created(panel_dir: Path, panel_name: str, hours: HoursOfUse, cycles: int | None, now: datetime) -> Checkpoint:
    directory = free_folder(panel_dir / "checkpoints", f"{now.date().isoformat()}-h{hours_told(hours.value)}")
    record = {
        "format": FORMAT,
        "software": f"panelwear {__version__}",
        "panel": panel_name,
        "hours": hours.value,
        **hours.keys(),
        "cycles": cycles,
        "status": "open",
        "started_utc": stamp(now),
        "answers": {},
        "sessions": [],
    }
    checkpoint = Checkpoint(directory, record)
    checkpoint.save()
    return checkpoint


def _refuse_other_cycles(found: Checkpoint, cycles: int | None, panel_dir: Path) -> None:
    stored = found.corrected.get("cycles")
    if cycles is not None and stored is not None and cycles != stored:
        raise UsageError(
            f"--cycles {cycles}: checkpoint {found.name} is open with {stored} compensation cycles; leave --cycles out "
            f"to go on with it, or end it with 'panelwear close {panel_dir}'"
        )


def last_answers(panel_dir: Path, before: Checkpoint | None = None) -> dict[str, str]:
    """Collect the newest answer to every question, to be the next time's defaults."""
    merged: dict[str, str] = {}
    for checkpoint in all_of(panel_dir):
        if before is None or checkpoint.name != before.name:
            merged.update(checkpoint.corrected["answers"])
    return merged
