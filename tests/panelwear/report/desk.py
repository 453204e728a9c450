"""The invented harbour-desk panel at three ages, read by the numeric fast path, as readings and as a panel folder."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from benchmarks.fast_panel.readings import Plan, patches_of, plan_of, read_plan
from panelwear.figures.circumstances import Circumstances
from panelwear.figures.evidence import Evidence, evidence_of
from panelwear.figures.probe_spread import with_step
from panelwear.figures.record_facts import RecordFacts
from panelwear.folder import checkpoint
from panelwear.folder.panel import Panel, load_panel, load_probe_settings
from panelwear.readings import marks, matches, records
from panelwear.readings.marks import Mark
from panelwear.readings.matches import MatchResult
from panelwear.readings.row import Row
from panelwear.readings.table import ReadingTable
from panelwear.report.build import RawFile, report_of
from panelwear.report.content import Report
from panelwear.report.inputs import Inputs, inputs_of
from panelwear.report.page import html_of
from panelwear.run.plan import plan_steps
from panelwear.simulation.model import HARBOUR_DESK_PANEL
from panelwear.simulation.panel import SimulatedPanel
from panelwear.simulation.rehearsal import ANSWERS, CYCLES, make_panel_folder
from panelwear.simulation.truth import Truth, truth_of
from sequences import reader

CSV = b"row,Y_cd_m2\r\n1,70.2\r\n"
HOURS = (0.0, 2000.0, 4400.0)
BEGAN = datetime(2026, 1, 5, 18, 0, tzinfo=UTC)
UTC_TEXT = "2026-01-05T18:00:00.000Z"
PANEL = SimulatedPanel(HARBOUR_DESK_PANEL)


@cache
def _plan() -> tuple[Panel, Plan, bytes, bytes]:
    with TemporaryDirectory() as folder:
        made = make_panel_folder(Path(folder) / "harbour-desk")
        panel, settings = load_panel(made), load_probe_settings(made)
        steps = plan_steps(panel, settings, reader.find("checkpoint"), 7)
        plan = plan_of(patches_of(steps.steps, 1280, 720, steps.resolver), HARBOUR_DESK_PANEL.active_area_mm)
        return panel, plan, (made / "panel.toml").read_bytes(), (made / "probe.toml").read_bytes()


def panel() -> Panel:
    """Return the panel as its folder describes it."""
    return _plan()[0]


@cache
def readings(hours: float, seed: int = 3) -> ReadingTable:
    """Read a whole checkpoint at an age."""
    return read_plan(_plan()[1], PANEL.at(hours, CYCLES), seed=seed, checkpoint=int(hours), name=f"h{hours:g}")


def truth(hours: float) -> Truth:
    """Return what is really so at an age."""
    return truth_of(PANEL.at(hours, CYCLES))


def subject(hours: float, table: ReadingTable | None = None, correction: np.ndarray | None = None) -> Evidence:
    """Return a checkpoint as the comparison takes it."""
    day = BEGAN + timedelta(days=hours / 12)
    how = Circumstances(
        name=f"{day.date()}-h{hours:g}", hours=hours, date=str(day.date()), cycles=int(hours > 2600), answers=ANSWERS,
        probe="SIM-1", instrument="scpi-colorimeter", screen="1280 x 720 px", software="panelwear",
    )  # fmt: skip
    with TemporaryDirectory() as folder:
        (Path(folder) / "probe.toml").write_bytes(_plan()[3])
        meter = load_probe_settings(Path(folder)).uncertainty
    read = readings(hours) if table is None else table
    return evidence_of(read, with_step(meter, read), correction, 0.01, RecordFacts(circumstances=how))


@cache
def inputs(*hours: float) -> Inputs:
    """Return what a report of these checkpoints is made of."""
    return inputs_of(panel(), [subject(h) for h in hours])


@cache
def report(*hours: float) -> Report:
    """Return the report of these checkpoints, their raw files a line each."""
    return report_of(inputs(*hours), [RawFile(f"h{h:g}", 1, CSV) for h in hours])


@cache
def page(*hours: float) -> str:
    """Return that report laid out."""
    return html_of(report(*hours))


def folder(directory: Path, hours: tuple[float, ...] = HOURS, *, note: str = "", name: str = "") -> Path:
    """Write a real panel folder with closed checkpoints."""
    made = make_panel_folder(directory)
    if name:
        text = (made / "panel.toml").read_text(encoding="utf-8")
        (made / "panel.toml").write_text(text.replace('"harbour-desk"', f"'{name}'", 1), encoding="utf-8")
    for h in hours:
        _checkpoint(made, h, note)
    return made


def _checkpoint(panel_dir: Path, hours: float, note: str) -> None:
    now = BEGAN + timedelta(days=hours / 12)
    found = checkpoint.open_or_create(panel_dir, "harbour-desk", hours, int(hours > 2600), now)
    facts = {"screen": {"width_px": 1280, "height_px": 720}, "probe": {"serial_as_stated": "SIM-1"}}
    found.begin_session(sequence="checkpoint", source=b"x = 1\n", seed=7, now=now, facts=facts)
    found.begin_segment(1, "start", now)
    found.record["answers"] = {**ANSWERS, "changed": note}
    found.save()
    _write(found.readings_path, Row, rows_of(readings(hours), note))
    if note:
        _write(found.directory / marks.FILE, Mark, [a_mark(note)])
        _write(found.directory / matches.FILE, MatchResult, [a_match(note)])
    found.close(now)


def _write(path: Path, kind: type, listed: Sequence[object]) -> None:
    path.write_bytes(records.header(kind) + b"".join(records.record_line(one) for one in listed))


def a_mark(note: str) -> Mark:
    """Return a band that somebody drew over the white column."""
    return Mark(
        mark=1, session=1, time_utc=UTC_TEXT, field="grey/c128", hue="grey", code=128.0,
        level_cd_m2=70.0, level_basis="measured-response", kind="band", strength="plain", shape="rect", x0_px=10,
        y0_px=20, x1_px=250, y1_px=700, x0_mm=4.7, y0_mm=9.3, x1_mm=116.6, y1_mm=326.7, blind=1, zone="vessel-list",
        note=note,
    )  # fmt: skip


def a_match(note: str) -> MatchResult:
    """Return a match of the white column by adjustment."""
    return MatchResult(
        match=1, session=1, time_utc=UTC_TEXT, zone="vessel-list", rect_px="0 0 256 720", edge_px=2,
        method="adjustment", after_min=None, hue="grey", code=128.0, level_cd_m2=70.0, level_basis="measured-response",
        contrast_percent=-3.6, u_percent=0.25, dof=7, low_percent=-4.2, high_percent=-3.0, hysteresis_percent=0.1,
        own_threshold_percent=0.7, spread_percent=0.6, trials=8, sham_trials=2, sham_found=0, finest_step_percent=0.01,
        distance_mm=600.0, visibility=4.4, visibility_low=3.0, visibility_high=6.0, word="obvious",
        settings_percent="3.5 3.7", seed=5, note=note,
    )  # fmt: skip


def rows_of(table: ReadingTable, note: str = "") -> list[Row]:
    """Return readings as rows of ``readings.csv``."""
    return [
        Row(
            row=i + 1, session=1, visit=int(table.visit[i]), pair=str(table.pair[i]), time_utc=UTC_TEXT,
            monotonic_s=float(table.monotonic_s[i]), step=int(table.step[i]), patch=str(table.patch[i]),
            purpose=str(table.purpose[i]), place=str(table.place[i]), pattern=str(table.pattern[i]),
            red=float(table.red[i]), green=float(table.green[i]), blue=float(table.blue[i]), background="0 0 0",
            rect_px="0 0 1 1", lit_share=float(table.lit_share[i]), target_cd_m2=_maybe(table.target_cd_m2[i]),
            level_basis=str(table.level_basis[i]), repeat=int(table.repeat[i]), X_cd_m2=_maybe(table.X[i]),
            Y_cd_m2=_maybe(table.Y[i]), Z_cd_m2=_maybe(table.Z[i]), x=None, y=None, u_prime=None, v_prime=None,
            cct_K=None, duv=None, integration_s=float(table.integration_s[i]), settled_s=float(table.settled_s[i]),
            geometry_sha256=str(table.geometry_sha256[i]), frame_sha256="f", flags=str(table.flags[i]) or "ok",
            note=note,
        )
        for i in range(len(table))
    ]  # fmt: skip


def _maybe(value: np.float64) -> float | None:
    return float(value) if np.isfinite(value) else None
