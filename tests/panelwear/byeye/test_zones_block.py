from __future__ import annotations

import tomllib

import pytest

from panelwear.byeye.eye_files import with_zone
from panelwear.errors import FileFault, UsageError
from patterns.frame import Rect

PANEL = """# the wall panel of an invented harbour office
name = "harbour-desk"
pixels = [1920, 1080]
active_area_mm = [597.0, 336.0]   # measured with a steel rule

[[zones]]
name = "chart"
rect_px = [384, 0, 1536, 1080]
# keep this remark
"""


def test_a_zone_is_appended_and_everything_before_it_stays() -> None:
    text = with_zone(PANEL, "seen-2", Rect(10, 20, 30, 40), "chart", "mark 2:\n plain band")
    assert text.startswith(PANEL)
    zones = tomllib.loads(text)["zones"]
    assert zones[1] == {
        "name": "seen-2",
        "rect_px": [10, 20, 30, 40],
        "probe_at_px": [25, 40],
        "reference": "chart",
    }
    assert "# mark 2: plain band\n[[zones]]" in text


def test_a_file_without_a_last_newline_or_with_cr_lf_stays_well_formed() -> None:
    for text in (PANEL.rstrip("\n"), PANEL.replace("\n", "\r\n"), 'name = "x"', ""):
        longer = with_zone(text, "left", Rect(0, 0, 1, 1))
        assert longer.startswith(text)
        assert tomllib.loads(longer)["zones"][-1]["name"] == "left"
    assert "\n" not in with_zone(PANEL.replace("\n", "\r\n"), "left", Rect(0, 0, 1, 1)).replace("\r\n", "")


def test_a_taken_name_is_refused() -> None:
    with pytest.raises(UsageError, match="already has a zone 'chart'"):
        with_zone(PANEL, "chart", Rect(0, 0, 1, 1))


@pytest.mark.parametrize("name", ["", "two words", 'quote"', "a/b", "line\nbreak", "back\\slash", "\x07"])
def test_a_name_that_is_no_word_is_refused(name: str) -> None:
    with pytest.raises(UsageError, match="cannot be a zone's name"):
        with_zone(PANEL, name, Rect(0, 0, 1, 1))


def test_an_unknown_reference_is_refused() -> None:
    with pytest.raises(UsageError, match=r"no zone 'map' to refer to; there are chart"):
        with_zone(PANEL, "left", Rect(0, 0, 1, 1), "map")


def test_a_broken_file_is_left_alone() -> None:
    with pytest.raises(FileFault, match=r"panel\.toml: .*correct it before a zone can be added"):
        with_zone("name = ", "left", Rect(0, 0, 1, 1))
