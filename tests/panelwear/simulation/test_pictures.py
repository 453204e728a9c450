"""Pictures of a rehearsal, looked at as pixels and numbers."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from benchmarks.fast_panel.readings import FastPatch, plan_of, read_plan
from panelwear.figures.circumstances import Circumstances
from panelwear.figures.evidence import evidence_of
from panelwear.figures.record_facts import RecordFacts
from panelwear.readings.table import ReadingTable
from panelwear.simulation.about import table
from panelwear.simulation.contact_sheet import contact_sheet, picture_of
from panelwear.simulation.panel import SimulatedPanel
from panelwear.simulation.pictures import GAIN, change_map, draw_all
from panelwear.simulation.probe import DEFAULT_PROBE
from panelwear.simulation.result import RehearsalResult, result_of
from panelwear.simulation.truth import truth_of
from panelwear.simulation.usage import ACTIVE_AREA_MM, harbour_desk_zones
from panelwear.uncertainty.meter import MeterTerms
from patterns.registry import build, names
from sequences.model import PanelFacts
from tests.panelwear.telling.unbroken import unbroken

W, H = 640, 360
HOURS = (0.0, 4400.0)
PANEL = SimulatedPanel()
STATES = [PANEL.at(h) for h in HOURS]


def patches() -> list[FastPatch]:
    def one(
        key: str, purpose: str, place: str, at: tuple[float, float], code: float, visit: int, pair: str = ""
    ) -> FastPatch:
        frame = (
            build("window", W, H, codes=(code,) * 3, share=0.1)
            if purpose == "ramp"
            else build("field", W, H, codes=(code,) * 3)
        )
        return FastPatch(key, purpose, place, at, frame, (code,) * 3, visit=visit, pair=pair)

    ramp = [one(f"ramp/centre/grey/c{c}/w10", "ramp", "centre", (W / 2, H / 2), c, 1) for c in (32, 64, 128, 192, 255)]
    zones = {z.name: z for z in harbour_desk_zones(W, H)}
    read = []
    for visit, name in enumerate(("vessel-list", "chart", "chart", "vessel-list"), start=2):
        at = zones[name].probe_at_px
        read.append(one(f"zone/{name}/grey/c128/full", "zone", name, at, 128, visit, f"vessel-list.{visit - 1}"))
    return ramp + read


@pytest.fixture(scope="module")
def tables() -> list[ReadingTable]:
    plan = plan_of(patches(), ACTIVE_AREA_MM)
    return [read_plan(plan, state, checkpoint=k, name=f"h{state.hours:g}") for k, state in enumerate(STATES)]


def result_of_tables(tables: list[ReadingTable]) -> RehearsalResult:
    meter = MeterTerms(placement=DEFAULT_PROBE.placement, dark_noise_cd_m2=DEFAULT_PROBE.dark_noise_cd_m2)
    read = [
        evidence_of(t, meter, record=RecordFacts(circumstances=Circumstances(f"h{s.hours:g}", s.hours, probe="P")))
        for t, s in zip(tables, STATES, strict=False)
    ]
    true = [{"checkpoint": f"h{s.hours:g}", **truth_of(s).as_json()} for s in STATES[: len(tables)]]
    facts = PanelFacts(W, H, ACTIVE_AREA_MM, zones=tuple(harbour_desk_zones(W, H)))
    return result_of(read, facts, true)


@pytest.fixture(scope="module")
def result(tables: list[ReadingTable]) -> RehearsalResult:
    return result_of_tables(tables)


def test_figures_are_those_of_the_checkpoints_and_zones_those_of_the_comparison(
    tables: list[ReadingTable], result: RehearsalResult
) -> None:
    white = tables[0].where(tables[0].patch == "ramp/centre/grey/c255/w10")
    (hours, read), (_, later) = result.figure("white.Y")
    assert hours == 0.0
    assert read.value == pytest.approx(white.Y.mean(), rel=0.01)
    assert later.value < read.value
    assert result.since_baseline is not None
    (zone,) = [row for row in result.since_baseline.rows if row.name == "zone/vessel-list"]
    assert result.true_change("vessel-list") == pytest.approx(zone.change.step.value, abs=0.5)


def test_every_picture_is_written_and_shows_something(tmp_path: Path, result: RehearsalResult) -> None:
    paths = draw_all(tmp_path, result, STATES)
    assert {p.name for p in paths} == {"patterns.png", "white-against-hours.png", "grey-ramp.png", "ageing-map.png"}
    for path in paths:
        with Image.open(path) as image:
            pixels = np.asarray(image.convert("L"))
        assert pixels.shape[1] >= 1200
        assert pixels.std() > 10


def test_pictures_can_be_drawn_of_one_checkpoint_without_white(tmp_path: Path, tables: list[ReadingTable]) -> None:
    dark = result_of_tables([tables[0].where(tables[0].red < 200)])
    assert dark.figure("white.Y") == []
    assert len(draw_all(tmp_path, dark, STATES[:1])) == 4
    assert table(dark) == []


def test_the_ageing_map_shows_the_badge_brighter_and_the_list_darker_than_the_chart() -> None:
    change = change_map(STATES[0], STATES[1], (128, 128, 128))
    chart = np.median(change)
    badge, listed = change[7, 147], change[45, 10]
    assert change.shape == (90, 160)
    assert badge - chart > 2
    assert listed - chart < -2
    assert abs(badge - chart) < 100 / GAIN  # the scale holds it


def test_the_contact_sheet_has_every_pattern() -> None:
    titles = {axes.get_title().split("\n")[0] for axes in contact_sheet().axes}
    assert set(names()) <= titles
    for name in names():
        picture = picture_of(name)
        assert picture.shape == (360, 640, 3)
        assert name == "field" or picture.max() > picture.min()


def test_the_table_tells_read_beside_true_and_the_verdict(result: RehearsalResult) -> None:
    lines = unbroken(table(result))
    white = truth_of(STATES[0]).white_XYZ[1]
    assert any(f"{white:.1f}" in line and "±" in line for line in lines)
    (zone,) = [line for line in lines if "vessel-list" in line]
    assert zone.rstrip().endswith("changed")
    assert f"{result.true_change('vessel-list'):.2f}".replace("-", "\u2212") in zone
