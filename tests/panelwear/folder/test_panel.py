"""panel.toml and probe.toml: read whole, every fault at once."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwear.errors import FileFault, PanelwearError, StorageFault, UsageError
from panelwear.folder.panel import load_panel, load_probe_settings, parse_panel, zone_name_faults
from panelwear.simulation.usage import harbour_desk_zones
from panelwear.upkeep.check import check
from panelwear.upkeep.create import PanelSpec, new_panel, panel_text

SPEC = PanelSpec("harbour-desk", 1280, 720, (596.7, 335.7), notes='the "wall" panel, invented')

BROKEN = """
name = 5
pixels = [1280, 720]
active_area_mm = [596.7, 335.7]
distanse_mm = 600
refresh_hz = true
[[zones]]
name = "clock badge"
rect_px = [1200, 0, 200, 100]
[[zones]]
name = "chart"
rect_px = [0, 0, 100, 100]
reference = "map"
"""


def test_a_new_folder_reads_back_as_it_was_asked_for(tmp_path: Path) -> None:
    zones = harbour_desk_zones(1280, 720)
    new_panel(tmp_path / "harbour-desk", PanelSpec("harbour-desk", 1280, 720, (596.7, 335.7), zones=zones))

    panel = load_panel(tmp_path / "harbour-desk")

    assert (panel.name, panel.width_px, panel.active_area_mm) == ("harbour-desk", 1280, (596.7, 335.7))
    assert panel.zones == zones
    assert load_probe_settings(tmp_path / "harbour-desk").aperture_mm == 10.0


def test_nothing_is_overwritten(tmp_path: Path) -> None:
    new_panel(tmp_path, SPEC)

    with pytest.raises(StorageFault, match="nothing was changed"):
        new_panel(tmp_path, SPEC)


def test_all_faults_are_said_at_once_with_their_keys(tmp_path: Path) -> None:
    with pytest.raises(FileFault) as caught:
        parse_panel(tomllib.loads(BROKEN), tmp_path)

    said = "\n".join(caught.value.problems)
    for part in (
        "name: expected text in quotes, got 5",
        "distanse_mm: unknown key; did you mean 'distance_mm'?",
        "refresh_hz: expected a number (1 to 1000 Hz), got true",
        "zones[1].name: 'clock badge' must be a word",
        "zones[1].rect_px: [1200, 0, 200, 100] does not lie on the panel of 1280 x 720 px",
        "zones[2].reference: 'map' is not another zone",
    ):
        assert part in said
    assert len(caught.value.problems) == 6


def _with_zone(name: str) -> str:
    return panel_text(SPEC) + f"[[zones]]\nname = {json.dumps(name)}\nrect_px = [0, 0, 100, 100]\n"


@pytest.mark.parametrize("name", ["centre", "x500y500", "x012y034", "x1y0"])
def test_no_zone_has_the_name_of_a_place(name: str) -> None:
    with pytest.raises(FileFault, match=f"zones.1..name: '{name}' is what readings call that place of the panel"):
        parse_panel(tomllib.loads(_with_zone(name)), Path())
    assert list(zone_name_faults(name, ())) != []


@pytest.mark.parametrize(
    ("name", "said"),
    [("top50%", "'top50%' has % in it"), ("a\xa0b", r"'a\xa0b' has a space"), ("a\tb", r"'a\tb' has a space"),
     ("a\u200bb", r"'a\u200bb' has a space or a sign that cannot be seen")],
)  # fmt: skip
def test_a_zone_that_cannot_be_asked_for_is_read_but_neither_made_nor_passed(
    name: str, said: str, tmp_path: Path
) -> None:
    new_panel(tmp_path, SPEC)
    (tmp_path / "panel.toml").write_text(_with_zone(name), encoding="utf-8")

    assert [zone.name for zone in load_panel(tmp_path).zones] == [name]
    (fault,) = zone_name_faults(name, ())
    assert fault.startswith(said)
    assert check(tmp_path).problems == (f"panel.toml: zones[1].name: {fault}",)


@pytest.mark.parametrize("name", ["vessel-list", "Grün", "list.2", "xy", "x500", "centre-left", "a=b"])
def test_other_names_are_free(name: str) -> None:
    assert list(zone_name_faults(name, ["chart"])) == []


def test_a_syntax_error_names_line_and_column(tmp_path: Path) -> None:
    (tmp_path / "panel.toml").write_text('name = "x\n', encoding="utf-8")

    with pytest.raises(FileFault, match="line 1, column"):
        load_panel(tmp_path)


def test_a_missing_file_says_what_makes_one(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match=r"holds no panel\.toml; 'panelwear new"):
        load_panel(tmp_path)
    with pytest.raises(UsageError, match="there is no such folder; 'panelwear new"):
        load_panel(tmp_path / "nowhere")


@given(st.text(max_size=200))
def test_no_text_makes_the_reader_raise_anything_but_its_own_errors(text: str) -> None:
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    with pytest.raises(PanelwearError):
        parse_panel(data, Path())


def test_names_with_quotes_survive() -> None:
    data = tomllib.loads(panel_text(SPEC))

    assert data["notes"] == 'the "wall" panel, invented'
