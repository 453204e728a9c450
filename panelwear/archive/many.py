"""Verdicts of many panels: each compared as ``compare`` does it, then ranked and put into groups; written as tables."""

from __future__ import annotations

import csv
import io
import itertools
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from panelwear import extras
from panelwear.archive import arrow, ledger
from panelwear.archive.collecting import Collected
from panelwear.archive.engines import Engine
from panelwear.archive.finding import Found
from panelwear.archive.panel_work import Job, Outcome, compared, entry_for, outcome_of
from panelwear.archive.ranking import Summary, groups_table, ranked, ranking_table, summary_of
from panelwear.archive.tables import table_of
from panelwear.atomic import COMPARISON, write_whole, writing_whole
from panelwear.compare.comparison_tables import changes_of
from panelwear.compare.tables import CsvColumn, CsvTable, safe

VERDICTS = "verdicts"
LEFT_OUT = (
    ("panel", "", "folder of the panel below the root"),
    ("why", "", "what is wrong with it, or what of it is not as it was written"),
    ("counts", "", "no: left out; yes: what can be relied on is among the verdicts"),
)
WORDS = (
    ("name", "", "what panel.toml calls the panel"),
    ("model", "", "kind of panel, in the person's words"),
    ("usage", "", "what it shows, likewise"),
    ("brightness", "", "how bright it is kept, likewise"),
)


@dataclass(frozen=True, slots=True)
class Verdicts:
    """What a run came to, ready for a page."""

    came: Collected
    ranking: tuple[Summary, ...]
    """Every panel that counts, the one that changed most first."""
    groups: CsvTable
    level: float
    files: tuple[str, ...]
    """Names of the tables that were written."""


def compare_all(
    found: Sequence[Found], out: Path, engine: Engine, level: float, on_done: Callable[[int], None]
) -> Verdicts:
    """Compare every panel and write the tables; panels that were compared already are not compared again.

    Args:
        found: the panels.
        out: folder for what is written, new or one that this program made.
        engine: where panels are worked on.
        level: of intervals; 1 - level is each panel's chance of a false alarm.
        on_done: called with the number of panels that are through.

    Raises:
        UsageError: ``out`` holds something else.
        StorageFault: it cannot be written, or another run holds it.
    """
    came = Collected()
    with ledger.opened(out, COMPARISON):
        jobs = (Job(one, out, level) for one in found)
        for count, one in enumerate(engine.run(compare_panel, jobs), start=1):
            came.take(one)
            on_done(count)
        for key in came.left_out:
            ledger.entry_path(out, key).unlink(missing_ok=True)
        return _written(out, {one.key for one in found}, came, level)


def compare_panel(job: Job) -> Outcome:
    """Compare one panel, unless that was done with the files that are there."""
    return outcome_of(job, _make)


def _make(job: Job, sources: Mapping[str, str]) -> dict[str, Any]:
    one = compared(job, ends_only=True)
    table = changes_of(one.comparison)
    entry = {
        **entry_for(job, sources, one),
        "summary": summary_of(one.comparison),
        "columns": [[c.name, c.unit, c.description] for c in table.columns],
        "changes": [[*row] for row in table.rows],
    }
    ledger.write_entry(job.out, job.found.key, entry)
    return entry


def _written(out: Path, keys: set[str], came: Collected, level: float) -> Verdicts:
    """Write all tables from the panels' entries; one panel at a time is in memory, and a line of each."""
    summaries = [_summary(entry) for entry in _entries(out, keys)]
    order = ranked(summaries)
    groups = groups_table(summaries)
    tables = [ranking_table(order, level), groups, _left_out(came)]
    columns = [CsvColumn(*c) for c in _verdict_columns(out, keys)]
    for one in tables:
        write_whole(out / f"{one.name}.csv", one.csv().encode())
        write_whole(out / f"{one.name}.csv-metadata.json", one.csvw(f"{one.name}.csv"))
    empty = CsvTable(VERDICTS, "Every line of every panel's change table", tuple(columns), ())
    with writing_whole(out / f"{VERDICTS}.csv") as file:
        file.write(empty.csv().encode())
        for entry in _entries(out, keys):
            file.write(_lines(_verdicts(entry)))
    write_whole(out / f"{VERDICTS}.csv-metadata.json", empty.csvw(f"{VERDICTS}.csv"))
    if extras.is_there("pyarrow"):
        rows = itertools.chain.from_iterable(_verdicts(entry) for entry in _entries(out, keys))
        _parquet(out, VERDICTS, columns, rows)
        for one in tables:
            _parquet(out, one.name, one.columns, iter(one.rows))
    return Verdicts(came, tuple(order), groups, level, (VERDICTS, *(one.name for one in tables)))


def _entries(out: Path, keys: set[str]) -> Iterator[ledger.Entry]:
    """Yield the entries of the panels that were asked for; one that lies there from another root stays, unused."""
    return (entry for entry in ledger.entries(out) if entry["panel"] in keys)


def _summary(entry: ledger.Entry) -> dict[str, Any]:
    words = {name: entry[name] for name in ("panel", "name", "model", "usage", "brightness")}
    told = {"said": " ".join(entry["verdict"]), "faults": "; ".join(entry["faults"])}
    return {**words, **told, **entry["summary"]}


def _verdict_columns(out: Path, keys: set[str]) -> list[tuple[str, str, str]]:
    first = next(_entries(out, keys), None)
    of_changes = [tuple(column) for column in first["columns"]] if first is not None else []
    return [LEFT_OUT[0], *WORDS, *of_changes]


def _verdicts(entry: ledger.Entry) -> Iterator[list[Any]]:
    lead = [entry[name] for name in ("panel", "name", "model", "usage", "brightness")]
    return ([*lead, *row] for row in entry["changes"])


def _lines(rows: Iterator[list[Any]]) -> bytes:
    text = io.StringIO()
    csv.writer(text, lineterminator="\r\n").writerows([[safe(cell) for cell in row] for row in rows])
    return text.getvalue().encode()


def _parquet(out: Path, name: str, columns: Sequence[CsvColumn], rows: Iterator[Sequence[object]]) -> None:
    with writing_whole(out / f"{name}.parquet") as file:
        arrow.write_rows(file, arrow.plain_schema(columns, {"kind": name, "software": ledger.SOFTWARE}), rows)


def _left_out(came: Collected) -> CsvTable:
    rows = [(key, "; ".join(why), "no") for key, why in sorted(came.left_out.items())]
    rows += [(key, "; ".join(why), "yes") for key, why in sorted(came.faulty.items())]
    return table_of("left-out", "Folders that something is wrong with", LEFT_OUT, rows)
