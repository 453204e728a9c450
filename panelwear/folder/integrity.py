"""Whether a checkpoint's files are those that were written: asked once, when it is loaded; every command is told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from panelwear.errors import FileFault
from panelwear.folder.checkpoint import READINGS, RECORD, Checkpoint
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


def integrity_of(found: Checkpoint, rows: Sequence[Row]) -> Integrity:
    """Ask for everything ``check`` asks of record, readings and seal; photographs alone are left to it."""
    sealed = found.changed_since_close(photographs=False)
    inside = [*found.readings_faults()]
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
