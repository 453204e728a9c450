"""From a panel folder to the report's file."""

from __future__ import annotations

import gzip
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear import __version__
from panelwear.atomic import as_file_name, make_folder, refuse_foreign, write_whole
from panelwear.errors import NotAsWritten, PanelwearError, StorageFault, UsageError
from panelwear.figures.evidence import Evidence
from panelwear.report.content import Download, Opening, Report, Section
from panelwear.report.inputs import Inputs, inputs_of
from panelwear.report.sections import (
    changes,
    evenness,
    eye,
    figures,
    light,
    method,
    opening,
    photographs,
    ramp,
    settings,
    usage,
    zones,
)
from panelwear.telling.words import counted, with_capital

if TYPE_CHECKING:
    from panelwear.camera.wear.findings import MapEnd

SOFTWARE = f"panelwear {__version__}"
BIT_DEPTH = "8 bit, SDR"


@dataclass(frozen=True, slots=True)
class RawFile:
    """The readings of one checkpoint, as they are on the disk."""

    checkpoint: str
    rows: int
    csv: bytes


def report_of(
    inputs: Inputs, raw: Sequence[RawFile] = (), remarks: Sequence[str] = (), faults: Sequence[str] = ()
) -> Report:
    """Put a report together; a pure function of what was read.

    Args:
        inputs: figures, comparison, panel.
        raw: readings to be carried inside.
        remarks: sentences on the checkpoints' files, such as amendments.
        faults: what is not as it was written; it heads the report.
    """
    panel = inputs.panel
    parts = (
        changes.section(inputs), *_measured(inputs), eye.section(inputs), photographs.section(inputs),
        usage.section(inputs), settings.section(inputs),
        *((figures.section(inputs),) if inputs.inspected else ()), method.section(), method.cautions(),
    )  # fmt: skip
    first = opening.opening(inputs, remarks)
    return Report(
        panel=panel.name,
        subtitle=_subtitle(inputs),
        facts=_facts(inputs),
        verdict=opening.sentences(inputs),
        opening=first,
        faults=tuple(_sentence(fault) for fault in faults),
        banner=_sentence(panel.notes) if "invented" in panel.notes.lower() else "",
        sections=tuple(_once(part, first) for part in parts if part is not None),
        downloads=tuple(_download(panel.name, one) for one in raw),
        software=SOFTWARE,
    )


def _once(section: Section, first: Opening) -> Section:
    """Leave out the picture that stands on the first screen already."""
    there = first.outline.title if first.outline is not None else ""
    return replace(section, pictures=tuple(p for p in section.pictures if p.title != there))


def _sentence(words: str) -> str:
    return f"{with_capital(words).rstrip('.')}."


def _measured(inputs: Inputs) -> list[Section | None]:
    if not inputs.inspected:
        return []
    return [light.section(inputs), zones.section(inputs), evenness.section(inputs), ramp.section(inputs)]


def _subtitle(inputs: Inputs) -> str:
    listed = [s.circumstances for s in inputs.checkpoints]
    first, last = listed[0], listed[-1]
    if len(listed) == 1:
        return f"One checkpoint, the baseline: {first.date}, {first.use.words} of use"
    count = counted(len(listed), "checkpoint")
    return f"{count}, {first.date} to {last.date}, {first.use.short} to {last.use.short} of use"


def _facts(inputs: Inputs) -> tuple[tuple[str, str], ...]:
    panel, last = inputs.panel, inputs.checkpoints[-1].circumstances
    wide, high = panel.active_area_mm
    found = [
        ("Panel", f"{wide:g} mm × {high:g} mm, {panel.width_px} × {panel.height_px} px, {panel.refresh_hz:g} Hz"),
        ("Signal", BIT_DEPTH),
        ("Viewing distance", f"{panel.distance_mm:g} mm"),
    ]
    own = (("Model", panel.model), ("Used for", panel.usage), ("Brightness, as noted", panel.brightness))
    found += [(name, words) for name, words in own if words]
    if last.probe or last.instrument:
        calibrated = f"calibrated {last.calibrated}" if last.calibrated else "calibration date not stated"
        found.append(("Probe", ", ".join(part for part in (last.instrument, last.probe, calibrated) if part)))
    if inputs.inspected:
        count = sum(one.evidence.stored for one in inputs.inspected)
        found.append(("Probe's uncertainty", inputs.inspected[-1].evidence.meter.told()))
        found.append(("Readings", f"{count} at {counted(len(inputs.inspected), 'checkpoint')}"))
    if panel.notes and "invented" not in panel.notes.lower():
        found.append(("Notes", panel.notes))
    return tuple(found)


def _download(panel: str, raw: RawFile) -> Download:
    # No time stamp inside: the same readings give the same bytes.
    data = gzip.compress(raw.csv, compresslevel=9, mtime=0)
    return Download(
        f"{as_file_name(panel)}-{raw.checkpoint}-readings.csv.gz", f"{raw.rows} rows", "application/gzip", data
    )


def prepared(
    panel_dir: Path, *, checkpoints: Sequence[Evidence] | None = None, faults: Sequence[str] = (),
    readings: bool = True,
    gain: float | None = None,
) -> tuple[Inputs, Report]:  # fmt: skip
    """Put the report of a panel folder together.

    Args:
        panel_dir: the panel folder.
        checkpoints: what the folder holds, where it was loaded already; else all of it counts as it is.
        faults: what is not as it was written there; it heads the report.
        readings: whether the readings are carried inside.
        gain: by how much photographs are exaggerated; ``None``: as usual.

    Raises:
        UsageError: nothing was read or seen yet.
        NotAsWritten: what was read is damaged.
        FileFault: a file of the folder has faults.
    """
    from panelwear.figures.load import load_panel_evidence
    from panelwear.folder.panel import load_panel
    from panelwear.folder.set_aside import lying_there

    panel = load_panel(panel_dir)
    if checkpoints is None:
        loaded = load_panel_evidence(panel_dir, as_it_is=True)
        checkpoints, faults = loaded.checkpoints, loaded.faults
    ends, lost = _photographed(panel_dir, {c.name for c in checkpoints})
    if all(c.is_empty for c in checkpoints) and not ends:
        if faults:
            raise NotAsWritten((*faults, "no other checkpoint holds anything, so there is nothing to report"))
        raise UsageError(
            f"{panel_dir}: has no readings, no marks and no maps of photographs yet; 'panelwear inspect' makes the"
            f" first checkpoint{_unread(panel_dir)}"
        )
    inputs = _with_photographs(inputs_of(panel, checkpoints, {end.end.name for end in ends}), ends, gain)
    raw = [_raw(panel_dir, c.name, c.stored) for c in inputs.checkpoints if c.stored and readings]
    remarks = [sentence for c in checkpoints for sentence in c.record.remarks()]
    remarks += [f"{one.told()}." for one in lying_there(panel_dir)]
    remarks += [f"{sentence}." for sentence in lost]
    inputs, unread = _with_usage(inputs)
    remarks += [f"{sentence}." for sentence in unread]
    return inputs, report_of(inputs, raw, remarks, faults)


def _photographed(panel_dir: Path, counted_in: set[str]) -> tuple[tuple[MapEnd, ...], tuple[str, ...]]:
    """Return the maps of the checkpoints that count, and what cannot be read, a sentence each."""
    from panelwear.camera.map_folder import map_ends

    ends, lost = map_ends(panel_dir)
    return tuple(end for end in ends if end.end.name in counted_in), lost


def _unread(panel_dir: Path) -> str:
    """Say that photographs lie there which nobody has read."""
    lying = any(path.is_file() for path in (panel_dir / "checkpoints").glob("*/photos/*"))
    return "; 'panelwear camera read' makes maps of the photographs in photos/" if lying else ""


def _with_photographs(inputs: Inputs, ends: Sequence[MapEnd], gain: float | None) -> Inputs:
    """Add what the photographs say."""
    from panelwear.camera.map_folder import photographs_beside, row_from_one_place
    from panelwear.camera.showing.tone import GAIN
    from panelwear.camera.showing.views import views_of

    pairs = photographs_beside(ends, inputs.panel, inputs.comparison)
    return replace(inputs, photographs=pairs, views=views_of(row_from_one_place(ends), gain or GAIN))


def _with_usage(inputs: Inputs) -> tuple[Inputs, tuple[str, ...]]:
    """Add what was told of usage, and the doses at the checkpoints that count; return why it cannot be read too."""
    from panelwear.compare.like_use import with_usage
    from panelwear.folder.checkpoint import survey
    from panelwear.usage.files import load_usage
    from panelwear.usage.told import known_response, told_of

    panel = inputs.panel
    try:
        kept = load_usage(panel.directory)
    except PanelwearError as error:
        return inputs, tuple(getattr(error, "problems", (str(error),)))
    response = known_response(panel, survey(panel.directory)[0])
    told = told_of(panel, kept, [c.circumstances for c in inputs.checkpoints], response)
    found = inputs.comparison and with_usage(inputs.comparison, told, panel.facts())
    return replace(inputs, usage=told, comparison=found), ()


def write_report(
    panel_dir: Path,
    out: Path | None = None,
    *,
    checkpoints: Sequence[Evidence] | None = None,
    faults: Sequence[str] = (),
    gain: float | None = None,
) -> Path:
    """Write the report of a panel folder and return its path.

    Args:
        panel_dir: the panel folder.
        out: where to; by default ``reports/<panel>-<date>.html`` in it, with the date of the newest checkpoint, so that
            the same checkpoints give the same file.
        checkpoints: what the folder holds, where it was loaded already; else all of it counts as it is.
        faults: what is not as it was written there; it heads the report.
        gain: by how much photographs are exaggerated; ``None``: as usual.

    Raises:
        UsageError: nothing was read or seen yet.
        FileFault: a file of the folder has faults.
        StorageFault: the report cannot be written.
    """
    from panelwear.report.page import html_of

    inputs, report = prepared(panel_dir, checkpoints=checkpoints, faults=faults, gain=gain)
    name = f"{as_file_name(inputs.panel.name)}-{inputs.checkpoints[-1].circumstances.date}.html"
    target = out or panel_dir / "reports" / name
    if target.is_dir():
        raise UsageError(f"{target}: is a folder; name a file with --out")
    refuse_foreign(target, lambda head: b'<meta name="generator" content="panelwear' in head, "report of this program")
    make_folder(target.parent)
    write_whole(target, html_of(report).encode("utf-8"))
    return target


def _raw(panel_dir: Path, checkpoint: str, rows: int) -> RawFile:
    path = panel_dir / "checkpoints" / checkpoint / "readings.csv"
    try:
        return RawFile(checkpoint, rows, path.read_bytes())
    except OSError as error:
        raise StorageFault(f"{path}: cannot be read ({error.strerror})") from None
