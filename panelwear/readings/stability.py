"""``stability.csv``: a stable light read on several evenings, one row a reading, all evenings in one file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from panelwear.readings import store
from panelwear.readings.columns import Column
from panelwear.readings.csvw import metadata

FILE = "stability.csv"
TITLE = "A stable light read on several evenings"


@dataclass(frozen=True, slots=True)
class StabilityReading:
    """One reading of the stable light. Field order is column order."""

    row: Annotated[int, Column("1", "Number of the row, from 1")]
    evening: Annotated[int, Column("1", "Evening it was read on, from 1; a pause of six hours begins another")]
    time_utc: Annotated[str, Column("", "When it was asked for, UTC", datatype="dateTime")]
    light: Annotated[str, Column("", "What was read, in your words; only one light's evenings compare")]
    probe: Annotated[str, Column("", "Serial number the probe told, else the one stated", may_be_empty=True)]
    repeat: Annotated[int, Column("1", "Number of the reading on that day, from 1")]
    X_cd_m2: Annotated[float | None, Column("cd/m²", "Tristimulus X, as sent; empty for luminance meters")]
    Y_cd_m2: Annotated[float | None, Column("cd/m²", "Luminance, as sent; empty when the reading failed")]
    Z_cd_m2: Annotated[float | None, Column("cd/m²", "Tristimulus Z, as sent; empty for luminance meters")]
    integration_s: Annotated[float | None, Column("s", "Integration time as reported, else as requested")]
    flags: Annotated[str, Column("", "What is the matter, as in readings.csv; ok when nothing is")]
    note: Annotated[str, Column("", "What else is to be said", may_be_empty=True)] = ""


def read_stability(folder: Path) -> list[StabilityReading]:
    """Read all evenings of a panel folder; none where there is no file. ``FileFault`` with every line that is wrong."""
    path = folder / FILE
    return store.read_journal(path, StabilityReading) if path.exists() else []


def stability_store(folder: Path) -> store.Store[StabilityReading]:
    """Open the file to add to it, or begin it; each reading is on the disk before the next."""
    return store.Store(folder / FILE, StabilityReading, metadata(FILE, StabilityReading, title=TITLE))


def stability_faults(path: Path) -> tuple[str, ...]:
    """Return what is wrong with a file of evenings, each fault with its row."""
    from panelwear.errors import FileFault

    try:
        rows = store.read(path, StabilityReading)
    except FileFault as error:
        return error.problems
    found = []
    for number, row in enumerate(rows, start=1):
        if row.row != number:
            found.append(f"{path.name}: record {number}: column row is {row.row}; wanted {number}")
        if number > 1 and row.evening not in (rows[number - 2].evening, rows[number - 2].evening + 1):
            found.append(f"{path.name}: record {number}: column evening: evenings must follow one another")
    return tuple(found)
