"""Whether a checkpoint's files are those that were written: asked once, when it is loaded; every command is told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass

from panelwear.errors import FileFault
from panelwear.folder.checkpoint import READINGS, RECORD, WRITTEN, Checkpoint
from panelwear.readings import store
from panelwear.readings.marks import FILE as MARKS
from panelwear.readings.matches import FILE as MATCHES
from panelwear.readings.matches import FORMER_FILE as FORMER_MATCHES
from panelwear.readings.row import Row
from panelwear.readings.soundness import row_faults

FIGURES_REST_ON = (RECORD, READINGS, MARKS, MATCHES, FORMER_MATCHES)
MOST_ROWS_TOLD = 5
"""Faults of single rows that a command other than ``check`` tells before it says how many more there are."""


@dataclass(frozen=True, slots=True)
class Integrity:
    """What is not as it was written, a sentence a fault, each with checkpoint and file."""

    faults: tuple[str, ...] = ()
    rests_on_it: bool = False
    """Whether figures rest on one of the files: then the checkpoint gives no verdict."""


def readings_faults(found: Checkpoint) -> tuple[str, ...]:
    """Say where the readings on the disk are not those that were written, as far as the record knows.

    A run that was killed or stopped may have read some more than its record says; a finished one has not.
    """
    noted = found.record.get(WRITTEN)
    if noted is None:
        return ()
    if not found.readings_path.exists():
        said = f"is gone; {noted['rows']} readings were stored in it" if noted["rows"] else ""
    elif asdict(store.written_at(found.readings_path, noted["rows"])) != noted:
        said = f"its first {noted['rows']} readings are not those that were stored; another program changed it"
    else:
        more = store.written_at(found.readings_path).rows - noted["rows"]
        whole = all(session["status"] == "done" for session in found.record["sessions"])
        said = f"holds {more} readings more than were stored" if more and whole else ""
    if not said:
        return ()
    kept = sorted(path.name for path in found.directory.glob("readings.kept-*.csv"))
    copy = f"put {kept[-1]} in its place, which holds what was stored" if kept else "restore it from a copy"
    return (f"{READINGS}: {said}; {copy}",)


def integrity_of(found: Checkpoint, rows: Sequence[Row]) -> Integrity:
    """Ask for everything ``check`` asks of record, readings and seal; photographs alone are left to it."""
    sealed = found.changed_since_close(photographs=False)
    inside = [*readings_faults(found)]
    odd = [*row_faults(rows, READINGS)]
    inside += odd[:MOST_ROWS_TOLD]
    if len(odd) > MOST_ROWS_TOLD:
        inside.append(f"{READINGS}: {len(odd) - MOST_ROWS_TOLD} more faults; 'panelwear check' lists them")
    try:
        found.amendments()
    except FileFault as error:
        inside += error.problems
    told = (*sealed, *(f"{found.name}/{fault}" for fault in inside))
    files = {sentence.removeprefix(f"{found.name}/").partition(":")[0] for sentence in told}
    return Integrity(told, bool(inside) or any(name in files for name in FIGURES_REST_ON))
