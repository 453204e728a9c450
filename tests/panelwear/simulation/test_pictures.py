"""Pictures of a rehearsal, looked at as pixels and numbers."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from benchmarks.fast_panel.readings import FastPatch, plan_of, read_plan
from panelwear.readings.table import ReadingTable
from panelwear.simulation.about import table
from panelwear.simulation.contact_sheet import contact_sheet, picture_of
from panelwear.simulation.found import Found, changes, look, mean_of
from panelwear.simulation.panel import SimulatedPanel
from panelwear.simulation.pictures import GAIN, change_map, draw_all
from panelwear.simulation.truth import truth_of
from panelwear.simulation.usage import ACTIVE_AREA_MM, harbour_desk_zones
from patterns.registry import build, names

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


@pytest.fixture(scope="module")
def found(tables: list[ReadingTable]) -> list[Found]:
    return [look(t, f"h{s.hours:g}", s.hours) for t, s in zip(tables, STATES, strict=True)]


def test_means_are_taken_of_the_right_rows(tables: list[ReadingTable], found: list[Found]) -> None:
    white = tables[0].where(tables[0].patch == "ramp/centre/grey/c255/w10")
    assert found[0].white_key == "ramp/centre/grey/c255/w10"
    assert found[0].white_XYZ == pytest.approx(white.XYZ.mean(axis=0))
    assert found[0].white_u_Y == pytest.approx(0.0051 * white.Y.mean(), rel=0.05)
    assert list(found[0].ramp) == [32, 64, 128, 192, 255]
    assert mean_of(tables[0], "no/such/patch") is None


def test_zone_contrasts_have_the_first_checkpoint_taken_out(found: list[Found]) -> None:
    read = changes(found)
    true = truth_of(STATES[-1]).zone_change["vessel-list"]["grey"]["c128"]
    assert read["vessel-list"][0] == 0.0
    assert read["vessel-list"][1] == pytest.approx(true, abs=0.005)


def test_a_table_without_white_says_so(tables: list[ReadingTable]) -> None:
    dark = tables[0].where(tables[0].red < 200)
    nothing = look(dark, "h0", 0.0)
    assert nothing.white_XYZ is None
    assert nothing.white_key == ""


def test_every_picture_is_written_and_shows_something(tmp_path: Path, found: list[Found]) -> None:
    true = [truth_of(state).as_json() for state in STATES]
    paths = draw_all(tmp_path, found, true, STATES)
    assert {p.name for p in paths} == {"patterns.png", "white-against-hours.png", "grey-ramp.png", "ageing-map.png"}
    for path in paths:
        with Image.open(path) as image:
            pixels = np.asarray(image.convert("L"))
        assert pixels.shape[1] >= 1200
        assert pixels.std() > 10


def test_pictures_can_be_drawn_of_one_checkpoint_without_white(tmp_path: Path, tables: list[ReadingTable]) -> None:
    dark = look(tables[0].where(tables[0].red < 200), "h0", 0.0)
    assert len(draw_all(tmp_path, [dark], [truth_of(STATES[0]).as_json()], STATES[:1])) == 4


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


def test_the_table_tells_read_beside_true(found: list[Found]) -> None:
    true = [truth_of(state).as_json() for state in STATES]
    lines = table(found, true)
    white = truth_of(STATES[0]).white_XYZ[1]
    assert any(f"{white:.2f}" in line for line in lines)
    assert any("vessel-list" in line and "aged more" in line for line in lines)
