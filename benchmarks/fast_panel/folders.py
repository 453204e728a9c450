"""Panel folders by the thousand, as the program leaves them: every file, each checkpoint closed, 300 readings in each.

The panels are those of the numeric fast path (``readings.py``); all of it is invented.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from dataclasses import asdict, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchmarks.fast_panel.plan import FastPatch, Plan, plan_of
from benchmarks.fast_panel.readings import read_plan
from panelwear.colorimetry.basic import uv_prime_of
from panelwear.colorimetry.cct import cct_duv
from panelwear.folder.checkpoint import Checkpoint, journal_metadata
from panelwear.folder.record import FORMAT
from panelwear.readings import records, store
from panelwear.readings.row import Row
from panelwear.readings.table import ReadingTable
from panelwear.simulation.model import drawn_panel
from panelwear.simulation.panel import SimulatedPanel
from panelwear.simulation.usage import ACTIVE_AREA_MM, harbour_desk_zones
from panelwear.upkeep.create import PanelSpec, new_panel

WIDTH, HEIGHT = 1280, 720
HOURS = (0.0, 500.0, 1200.0, 2000.0, 3100.0, 4400.0)
HOURS_A_DAY = 12.0
BEGAN = datetime(2026, 1, 5, 18, tzinfo=UTC)
READS = 3
ZONES = ("chart", "vessel-list", "clock-badge", "quay-camera")
KINDS = ({"model": "desk-27", "usage": "charts", "brightness": "80"},
         {"model": "desk-27", "usage": "text", "brightness": "40"},
         {"model": "wall-42", "usage": "charts", "brightness": "80"})  # fmt: skip
"""What ``panel.toml`` says of the panels in turn; invented."""
NOTES = "invented: a simulated panel, no measurement of anything real"
SEQUENCE = b'name = "three-hundred"\n# what the numeric fast path reads; no step of it was ever run\n'
_CLOCK_S = 1000.0


def plan_of_300(patches: Sequence[FastPatch]) -> Plan:
    """Keep a hundred of the shipped checkpoint's patches, three readings each: what the change table rests on."""
    kept: list[FastPatch] = []
    seen: dict[str, int] = {}
    for patch in patches:
        seen[patch.key] = seen.get(patch.key, 0) + 1
        most = 1 if _ramp(patch.key) else 7 if _reference(patch.key) else 0
        if patch.purpose in {"black", "grid", "zone"} or _full(patch.key) or seen[patch.key] <= most:
            kept.append(patch)
    return plan_of([replace(patch, reads=READS, rule=None) for patch in kept], ACTIVE_AREA_MM)


def _full(key: str) -> bool:
    return key.startswith("primary/") and "/c255/" in key


def _ramp(key: str) -> bool:
    return key in {f"ramp/centre/grey/c{code}/w10" for code in (32, 64, 96, 128, 160, 192, 224)}


def _reference(key: str) -> bool:
    return key == "reference/centre/grey/c128/w10"


def write_panels(root: Path, plan: Plan, panels: range, hours: Sequence[float] = HOURS) -> None:
    """Write panel folders ``panel-0001`` and on, a seed each."""
    for seed in panels:
        write_panel(root / f"panel-{seed:04}", plan, seed, hours)


def write_panel(folder: Path, plan: Plan, seed: int, hours: Sequence[float] = HOURS) -> Path:
    """Write one panel folder with a closed checkpoint at each of some hours of use."""
    new_panel(
        folder,
        PanelSpec(
            name=folder.name, width_px=WIDTH, height_px=HEIGHT, active_area_mm=ACTIVE_AREA_MM, peak_cd_m2=410.0,
            notes=NOTES, zones=tuple(z for z in harbour_desk_zones(WIDTH, HEIGHT) if z.name in ZONES),
            instrument="scpi-colorimeter", link="simulated", serial="SIM-1", session_filters=0.0, floor_cd_m2=0.01,
        ),
    )  # fmt: skip
    toml = folder / "panel.toml"
    said = "".join(f'{key} = "{word}"\n' for key, word in KINDS[seed % len(KINDS)].items())
    toml.write_text(said + toml.read_text(encoding="utf-8"), encoding="utf-8")
    panel = SimulatedPanel(drawn_panel(seed))
    for number, at in enumerate(hours):
        table = read_plan(plan, panel.at(hours=at), seed=seed, checkpoint=number)
        write_checkpoint(folder, at, BEGAN + timedelta(days=at / HOURS_A_DAY), table, plan)
    return folder


def write_checkpoint(folder: Path, hours: float, begun: datetime, table: ReadingTable, plan: Plan) -> Checkpoint:
    """Write one checkpoint of a table of readings and close it."""
    own = folder / "checkpoints" / f"{begun.date().isoformat()}-h{hours:g}"
    (own / "photos").mkdir(parents=True)
    (own / "sequence.toml").write_bytes(SEQUENCE)
    (own / "readings.csv-metadata.json").write_bytes(journal_metadata(own.name))
    with (own / "readings.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\r\n")
        writer.writerow(records.names(Row))
        writer.writerows([*map(records.text_of, row)] for row in _rows(table, plan, begun))
    moment = _stamp(begun)
    session = {
        "number": 1, "sequence": "three-hundred", "sequence_file": "sequence.toml", "seed": 1, "status": "done",
        "started_utc": moment, "segments": [{"first_row": 1, "why": "start", "started_utc": moment}],
        "probe": {"serial": "SIM-1", "instrument": "scpi-colorimeter", "aperture_mm": 10},
        "screen": {"width_px": WIDTH, "height_px": HEIGHT, "scaled": False},
        "answers": {"brightness": "80", "room_lx": "0.1", "since_cycle_h": f"{hours + 100:g}"},
    }  # fmt: skip
    found = Checkpoint(own, {
        "format": FORMAT, "software": "panelwear 0.1.0", "panel": folder.name, "hours": hours, "cycles": 0,
        "status": "open", "started_utc": moment, "answers": session["answers"], "sessions": [session],
        "readings": asdict(store.written_at(own / "readings.csv")),
    })  # fmt: skip
    found.close(begun + timedelta(hours=1))
    return found


def _rows(table: ReadingTable, plan: Plan, begun: datetime) -> Iterator[tuple[object, ...]]:
    XYZ = _seven_digits(table.XYZ)
    total = XYZ.sum(axis=1)
    lit = (total > 0) & (XYZ > 0).all(axis=1)
    xy = np.round(XYZ[:, :2] / np.where(lit, total, 1)[:, None], 6)
    uv, heat = np.round(uv_prime_of(XYZ), 6), cct_duv(XYZ)
    patch = np.repeat(np.arange(len(plan.patches)), READS)
    for n in range(len(table)):
        at_s, own = float(table.monotonic_s[n]) - _CLOCK_S, plan.patches[patch[n]]
        frame = own.frame
        colours: tuple[object, ...] = (None,) * 6
        if lit[n] and XYZ[n, 1] > 0.05:
            stated = (round(float(heat[n, 0]), 1), round(float(heat[n, 1]), 6)) if np.isfinite(heat[n]).all() else ()
            colours = (*xy[n].tolist(), *uv[n].tolist(), *(stated or (None, None)))
        yield (
            n + 1, 1, own.visit, own.pair, _stamp(begun + timedelta(seconds=at_s)), round(at_s + _CLOCK_S, 3),
            own.step, own.key, own.purpose, own.place, frame.pattern, *own.codes, "0 0 0",
            f"0 0 {WIDTH} {HEIGHT}", frame.lit_share, None, "code", int(table.repeat[n]), *XYZ[n].tolist(), *colours,
            1.0, round(float(table.settled_s[n]), 3), plan.geometry[patch[n]], plan.geometry[patch[n]], "ok", "",
        )  # fmt: skip


def _seven_digits(values: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.array([[float(f"{value:.7g}") for value in row] for row in values.tolist()])


def _stamp(moment: datetime) -> str:
    return moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")
