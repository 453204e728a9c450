"""One checkpoint as files for other programs, each written whole and never in the place of what is not ours."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from panelwear import __version__
from panelwear.archive import arrow, cgats, workbook
from panelwear.archive.left_out import left_out
from panelwear.archive.tables import figures_table, patches_table
from panelwear.atomic import as_file_name, make_folder, refuse_foreign, sha256_of, write_whole
from panelwear.compare.tables import HOURS_BETWEEN
from panelwear.errors import UsageError
from panelwear.figures.evidence import Evidence
from panelwear.folder.checkpoint import CHECKPOINTS, Checkpoint, load
from panelwear.folder.hours import KINDS
from panelwear.folder.panel import Panel
from panelwear.readings.by_column import ByColumn
from panelwear.readings.row import Row

SOFTWARE = f"panelwear {__version__}"
FORMATS = {"cgats": (".txt", ""), "parquet": (".parquet", "pyarrow"), "xlsx": (".xlsx", "openpyxl")}
"""Format, the end of its file's name, and the library it needs."""

OF_EACH = (
    ("checkpoint", "", "name of the checkpoint's folder"),
    ("hours", "h", "hours of use at the checkpoint; where they are estimated within a range, its middle"),
    ("hours_kind", "", "how they are known: read from the panel's menu, counted, or estimated"),
    *HOURS_BETWEEN,
)
"""Columns of exported readings behind those of ``readings.csv``, so that checkpoints can be put below each other."""


@dataclass(frozen=True, slots=True)
class Export:
    """A checkpoint ready to be written."""

    panel: Panel
    checkpoint: Checkpoint
    evidence: Evidence
    faults: tuple[str, ...]
    """What is not as it was written there; it goes into every file."""
    rows: ByColumn

    def notes(self) -> tuple[str, ...]:
        """Say what must be known of the numbers, a sentence each."""
        told = (*self.faults, *self.evidence.record.notes)
        notes = [f"Panel: {self.panel.notes}"] if self.panel.notes else []
        return (*notes, *(f"{sentence.rstrip('.')}." for sentence in told))

    def left_out(self) -> tuple[str, ...]:
        """Say which patches are not among those that figures are made of, and why."""
        return left_out(self.rows, self.evidence)


def prepared(panel: Panel, evidence: Evidence, faults: tuple[str, ...]) -> Export:
    """Read what else of a checkpoint is exported; ``FileFault`` where its readings cannot be read."""
    found = load(panel.directory / CHECKPOINTS / evidence.name)
    mine = tuple(fault for fault in faults if fault.startswith(evidence.name))
    return Export(panel, found, evidence, mine, found.columns())


def paths_of(export: Export, out: Path, formats: tuple[str, ...]) -> dict[str, Path]:
    """Return where each format is written, after asking whether it may be.

    Raises:
        UsageError: something else is there, or the place is in a checkpoint.
    """
    stem = f"{as_file_name(export.panel.name)}-{export.evidence.name}"
    paths = {name: out / f"{stem}{FORMATS[name][0]}" for name in formats}
    for name, path in paths.items():
        refuse_foreign(path, _made_here(name, path), "export of this program")
    return paths


def _made_here(name: str, path: Path) -> Callable[[bytes], bool]:
    if name == "cgats":
        return cgats.is_ours
    if name == "parquet":
        return lambda _head: arrow.facts_of(path) is not None
    return lambda _head: workbook.is_ours(path)


def write(export: Export, out: Path, formats: tuple[str, ...]) -> list[Path]:
    """Write a checkpoint in some formats; returns the files.

    Raises:
        UsageError: something else is there, or a spreadsheet cannot hold that many rows.
        StorageFault: a file cannot be written.
    """
    paths = paths_of(export, out, formats)
    make = {"cgats": _cgats, "parquet": _parquet, "xlsx": _xlsx}
    data = {name: make[name](export) for name in paths}
    make_folder(out)
    for name, path in paths.items():
        write_whole(path, data[name])
    return [*paths.values()]


def _cgats(export: Export) -> bytes:
    how = export.evidence.circumstances
    instrument = " ".join(part for part in (how.instrument, how.probe) if part) or "unknown"
    notes = (*export.left_out(), *export.notes())
    about = cgats.About(SOFTWARE, export.panel.name, export.evidence.name, how.date, instrument, notes)
    return cgats.cgats_of(export.evidence, about)


def _parquet(export: Export) -> bytes:
    use = export.evidence.circumstances.use
    facts = {
        "kind": "readings", "panel": export.panel.name, "checkpoint": export.evidence.name, "hours": use.told,
        "readings_sha256": sha256_of(export.checkpoint.readings_path) if len(export.rows) else "",
        "notes": " ".join(export.notes()),
    }  # fmt: skip
    of_each = (export.evidence.name, use.value, use.kind, use.low, use.high)
    return arrow.parquet_of(arrow.with_each(arrow.records_table(export.rows, Row, facts), OF_EACH, of_each))


def _xlsx(export: Export) -> bytes:
    evidence, how = export.evidence, export.evidence.circumstances
    told = [
        ("panel", export.panel.name),
        ("checkpoint", f"{evidence.name}, {how.use.words} of use ({KINDS[how.use.kind]}), begun {how.date}"),
        ("probe", " ".join(part for part in (how.instrument, how.probe) if part) or "unknown"),
        ("probe's uncertainty", evidence.meter.told()),
        ("figures", "each with its standard uncertainty u and its 95 % interval, low to high, in the row's unit"),
        ("patches", "means of usable readings, correction matrix applied, drift taken out"),
        *(("patches", sentence) for sentence in export.left_out()),
        ("readings", "as the probe sent them, before any matrix; times are UTC"),
        ("written by", SOFTWARE),
        *(("note", sentence) for sentence in export.notes()),
    ]
    sheets = [
        workbook.sheet_of(figures_table(evidence)),
        workbook.sheet_of(patches_table(evidence)),
        workbook.readings_sheet("readings", export.rows, Row),
    ]
    try:
        return workbook.workbook_of(sheets, f"{export.panel.name}, {evidence.name}", told)
    except ValueError as error:
        raise UsageError(f"{evidence.name}: {error}; leave the spreadsheet out with --format cgats,parquet") from None
