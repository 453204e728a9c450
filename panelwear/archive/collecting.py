"""One Parquet dataset of many panel folders: readings by panel and checkpoint, figures and changes by panel.

``readings.csv`` stays the original: its digest stands in every file made of it, and in the table of checkpoints.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from panelwear.archive import arrow, ledger
from panelwear.archive.engines import Engine
from panelwear.archive.finding import Found
from panelwear.archive.panel_work import Compared, Job, Outcome, compared, entry_for, outcome_of
from panelwear.archive.tables import figures_table
from panelwear.atomic import ARCHIVE, make_folder, refuse_links, write_whole, writing_whole
from panelwear.compare.comparison_tables import changes_of
from panelwear.compare.tables import CsvColumn
from panelwear.errors import StorageFault
from panelwear.folder.checkpoint import CHECKPOINTS, READINGS
from panelwear.readings.by_column import read_columns
from panelwear.readings.row import Row

if TYPE_CHECKING:
    import pyarrow as pa

DATASETS = ("readings", "figures", "changes")
PANELS = (
    ("name", "", "what panel.toml calls it"),
    ("model", "", "kind of panel, in the person's words"),
    ("usage", "", "what it shows, likewise"),
    ("brightness", "", "how bright it is kept, likewise"),
    ("verdict", "", "what compare says of it, all sentences"),
    ("faults", "", "what is not as it was written"),
)
CHECKPOINTS_TABLE = (
    ("checkpoint", "", "name of the checkpoint's folder"),
    ("hours", "h", "hours of use; where they are estimated, the middle of their range"),
    ("hours_kind", "", "read from the panel's menu, counted or estimated"),
    ("hours_low", "h", "least they can be"),
    ("hours_high", "h", "most they can be"),
    ("date", "", "day it was begun, ISO 8601"),
    ("readings", "1", "readings stored, usable or not"),
    ("readings_sha256", "", "digest of readings.csv, the original"),
)


@dataclass(slots=True)
class Collected:
    """What a run came to."""

    new: int = 0
    same: int = 0
    left_out: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Panels that could not be read, each with why."""
    faulty: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Panels that count but of which something is not as it was written."""

    def take(self, one: Outcome) -> None:
        """Note what came of one panel."""
        if one.done == "bad":
            self.left_out[one.key] = one.problems
            return
        self.new += one.done == "new"
        self.same += one.done == "same"
        if one.problems:
            self.faulty[one.key] = one.problems


def collect(found: Sequence[Found], out: Path, engine: Engine, on_done: Callable[[int], None]) -> Collected:
    """Bring an archive up to date with some panel folders; nothing that is there already is made again.

    Args:
        found: the panels.
        out: folder of the archive, new or one that this program made.
        engine: where panels are worked on.
        on_done: called with the number of panels that are through.

    Raises:
        UsageError: ``out`` holds something else.
        StorageFault: it cannot be written, or another run holds it.
    """
    came = Collected()
    with ledger.opened(out, ARCHIVE):
        jobs = (Job(one, out) for one in found)
        for count, one in enumerate(engine.run(archive_panel, jobs), start=1):
            came.take(one)
            on_done(count)
        for key in came.left_out:
            _forget(out, key)
        _bring_up(out)
        _finish(out)
    return came


def archive_panel(job: Job) -> Outcome:
    """Put one panel into the archive, unless it is there as it is."""
    return outcome_of(job, _make)


def _make(job: Job, sources: Mapping[str, str]) -> dict[str, Any]:
    one = compared(job)
    partition = f"panel={ledger.as_name(job.found.key)}"
    entry = entry_for(job, sources, one)
    made = [_readings(job, partition, told) for told in entry["checkpoints"] if told["readings"]]
    _drop_others(job.out / "readings" / partition, {Path(name).parent.name for name in made})
    facts = {"panel": job.found.key, "software": ledger.SOFTWARE}
    made += [
        _table(job, "figures", partition, _figures(one, facts)),
        _table(job, "changes", partition, _changes(one, facts)),
    ]
    entry["made"] = made
    ledger.write_entry(job.out, job.found.key, entry)
    return entry


def _figures(one: Compared, facts: Mapping[str, str]) -> pa.Table:
    read = (e for e in one.loaded.checkpoints if e.stored)
    return arrow.plain_table(figures_table(*read), {"kind": "figures", **facts})


def _changes(one: Compared, facts: Mapping[str, str]) -> pa.Table:
    return arrow.plain_table(changes_of(one.comparison), {"kind": "changes", **facts})


def _table(job: Job, kind: str, partition: str, table: pa.Table) -> str:
    name = f"{kind}/{partition}/{kind}.parquet"
    make_folder((job.out / name).parent)
    write_whole(job.out / name, arrow.parquet_of(table))
    return name


def _readings(job: Job, partition: str, told: Mapping[str, Any]) -> str:
    """Write the readings of a checkpoint, unless the same are there; returns the file's path in the archive."""
    name = f"readings/{partition}/checkpoint={ledger.as_name(told['checkpoint'])}/readings.parquet"
    path, digest = job.out / name, told["readings_sha256"]
    there = arrow.facts_of(path) if path.exists() else None
    if there is not None and there.get("readings_sha256") == digest and there.get("software") == ledger.SOFTWARE:
        return name
    facts = {"kind": "readings", "panel": job.found.key, "checkpoint": told["checkpoint"], "readings_sha256": digest,
             "software": ledger.SOFTWARE}  # fmt: skip
    columns = read_columns(job.found.folder / CHECKPOINTS / told["checkpoint"] / READINGS, Row)
    make_folder(path.parent)
    write_whole(path, arrow.parquet_of(arrow.records_table(columns, Row, facts)))
    return name


def _drop_others(folder: Path, kept: set[str]) -> None:
    """Take partitions out that are not kept: of checkpoints that count no more."""
    for path in folder.glob("checkpoint=*") if folder.is_dir() else ():
        if path.name not in kept:
            _remove(path)


def _forget(out: Path, key: str) -> None:
    """Take a panel out that cannot be read any more: nothing of it may stand beside what can."""
    for kind in DATASETS:
        _remove(out / kind / f"panel={ledger.as_name(key)}")
    ledger.entry_path(out, key).unlink(missing_ok=True)


def _remove(folder: Path) -> None:
    refuse_links(folder)
    try:
        if folder.is_dir() and not folder.is_symlink():
            shutil.rmtree(folder)
    except OSError as error:
        raise StorageFault(f"{folder}: cannot be taken out ({error.strerror})") from None


def _bring_up(out: Path) -> None:
    """Give what an older version made of panels that are not below the root any more the columns of today.

    An engine that reads a folder of files wants the same columns in each.
    """
    now = next(ledger.entries(out), None)
    if now is None:
        return
    for entry in ledger.entries(out, older_too=True):
        if ledger.is_of_now(entry):
            continue
        for name, like in zip(_tables_of(entry), _tables_of(now), strict=True):
            data = arrow.brought_up(out / name, out / like) if (out / name).is_file() else None
            if data is not None:
                write_whole(out / name, data)


def _tables_of(entry: ledger.Entry) -> list[str]:
    """Return where the tables of a panel lie in the archive, by its key alone."""
    return [f"{kind}/panel={ledger.as_name(entry['panel'])}/{kind}.parquet" for kind in ("figures", "changes")]


def _finish(out: Path) -> None:
    """Write the tables of panels and checkpoints from their entries, some thousands in memory at a time."""
    facts = {"software": ledger.SOFTWARE}
    _stream(out / "panels.parquet", PANELS, {"kind": "panels", **facts}, (_panel(e) for e in _all(out)))
    rows = (
        [entry["panel"], *(told.get(name) for name, _, _ in CHECKPOINTS_TABLE)]
        for entry in _all(out)
        for told in entry["checkpoints"]
    )
    _stream(out / "checkpoints.parquet", CHECKPOINTS_TABLE, {"kind": "checkpoints", **facts}, rows)


def _all(out: Path) -> Iterator[ledger.Entry]:
    return ledger.entries(out, older_too=True)


def _panel(entry: Mapping[str, Any]) -> list[object]:
    words = [entry[name] for name in ("name", "model", "usage", "brightness")]
    return [entry["panel"], *words, " ".join(entry["verdict"]), "; ".join(entry["faults"])]


def _stream(
    path: Path, columns: Sequence[tuple[str, str, str]], facts: Mapping[str, str], rows: Iterable[Sequence[object]]
) -> None:
    schema = arrow.plain_schema([CsvColumn(*c) for c in columns], facts, ("panel",))
    with writing_whole(path) as out:
        arrow.write_rows(out, schema, rows)
