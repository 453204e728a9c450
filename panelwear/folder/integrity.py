"""Whether a checkpoint's files are those that were written: asked once, when it is loaded; every command is told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace

from panelwear.errors import FileFault
from panelwear.folder.checkpoint import READINGS, RECORD, WRITTEN, Checkpoint
from panelwear.readings import store
from panelwear.readings.by_column import ByColumn
from panelwear.readings.copies import Fingerprint, copies, fingerprint
from panelwear.readings.marks import FILE as MARKS
from panelwear.readings.marks import Mark
from panelwear.readings.matches import FILE as MATCHES
from panelwear.readings.matches import FORMER_FILE as FORMER_MATCHES
from panelwear.readings.matches import MatchResult, matches_file
from panelwear.readings.soundness import mark_faults, match_faults, row_faults
from panelwear.telling.words import counted

FIGURES_REST_ON = (RECORD, READINGS, MARKS, MATCHES, FORMER_MATCHES)
MOST_TOLD = 5
"""Faults of a file's single records that a command other than ``check`` tells before it counts the others."""


@dataclass(frozen=True, slots=True)
class Integrity:
    """What is not as it was written, a sentence a fault, each with checkpoint and file."""

    faults: tuple[str, ...] = ()
    rests_on_it: bool = False
    """Whether figures rest on one of the files: then the checkpoint gives no verdict."""
    readings: Fingerprint | None = None
    """Of its readings, by which a copy is known."""


def readings_faults(found: Checkpoint) -> tuple[str, ...]:
    """Say where the readings on the disk are not those that were written, as far as the record knows.

    A run that was killed or stopped may have read some more than its record says; a finished one has not.
    """
    noted = found.record.get(WRITTEN)
    if noted is None:
        return ()
    written, stored = store.written_and_stored(found.readings_path, noted["rows"])
    if not found.readings_path.exists():
        said = f"is gone; {counted(noted['rows'], 'reading')} stored in it" if noted["rows"] else ""
    elif asdict(written) != noted:
        said = f"its first {noted['rows']} readings are not those that were stored; another program changed it"
    else:
        more = stored - noted["rows"]
        whole = all(session["status"] == "done" for session in found.record["sessions"])
        said = f"holds {counted(more, 'reading')} more than were stored" if more and whole else ""
    if not said:
        return ()
    kept = sorted(path.name for path in found.directory.glob("readings.kept-*.csv"))
    copy = f"put {kept[-1]} in its place, which holds what was stored" if kept else "restore it from a copy"
    return (f"{READINGS}: {said}; {copy}",)


@dataclass(frozen=True, slots=True)
class Content:
    """What was read of a checkpoint's files, so that nothing is read twice."""

    rows: ByColumn
    marks: Sequence[Mark] = ()
    matches: Sequence[MatchResult] = ()


def integrity_of(found: Checkpoint, content: Content) -> Integrity:
    """Ask what ``check`` asks of record, seal, readings and what the eye found; photographs are left to it."""
    sealed = found.changed_since_close(photographs=False)
    inside = [*readings_faults(found)]
    eye = matches_file(found.directory).name
    for faults, file in (
        ([*row_faults(content.rows, READINGS)], READINGS),
        ([*mark_faults(content.marks, MARKS)], MARKS),
        ([*match_faults(content.matches, eye)], eye),
    ):
        inside += faults[:MOST_TOLD]
        if len(faults) > MOST_TOLD:
            inside.append(f"{file}: {len(faults) - MOST_TOLD} more faults; 'panelwear check' lists them")
    try:
        found.amendments()
    except FileFault as error:
        inside += error.problems
    told = (*sealed, *(f"{found.name}/{fault}" for fault in inside))
    files = {sentence.removeprefix(f"{found.name}/").partition(":")[0] for sentence in told}
    own = fingerprint_of(found, content.rows)
    return Integrity(told, bool(inside) or any(name in files for name in FIGURES_REST_ON), own)


def fingerprint_of(found: Checkpoint, rows: ByColumn) -> Fingerprint:
    """Return what tells a checkpoint's readings from those of all others."""
    return fingerprint(found.name, found.record["started_utc"], rows)


def copy_faults(checkpoints: Sequence[Fingerprint]) -> dict[str, str]:
    """Say of each checkpoint that holds another's readings that it does, by its name."""
    return {name: f"{name}/{READINGS}: {said}" for name, said in copies(checkpoints)}


def with_copy(integrity: Integrity, fault: str) -> Integrity:
    """Add the fault of a copy: no verdict rests on it."""
    return replace(integrity, faults=(*integrity.faults, fault), rests_on_it=True)
