from __future__ import annotations

import tomllib
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from groundwork.clock import VirtualClock
from panelwear.byeye.eye_files import with_zone
from panelwear.byeye.retention_looks import flat_field
from panelwear.byeye.walk_fields import MatchTarget
from panelwear.errors import FileFault, UsageError
from panelwear.readings import records, store
from panelwear.readings.marks import Mark
from panelwear.readings.matches import MatchResult
from panelwear.upkeep.check import check
from patterns.frame import Rect
from tests.panelwear.byeye.eye import BADGE, EyeScreen, look_session


def made(tmp_path: Path) -> Path:
    now = VirtualClock(datetime(2026, 2, 3, tzinfo=UTC))
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.02)
    session = look_session(tmp_path / "desk", screen, now)
    for at_s, key in enumerate(("m", "return", "return", "return", "q"), start=1):
        screen.press(key, after_s=float(at_s))
    session.walk(0.0)
    screen.awake = True
    session.measure(MatchTarget(BADGE.name, BADGE.rect), flat_field("grey", 128.0), "adjustment", [])
    return session.job.checkpoint.directory


def test_files_as_written_have_no_faults_and_are_known_by_their_content(tmp_path: Path) -> None:
    folder = made(tmp_path)
    for name in ("marks.csv", "matches.csv"):
        found = check(folder / name)
        assert (found.what, found.problems) == ("what the eye found", ())
    assert check(tmp_path / "desk").problems == ()


def test_all_faults_come_at_once_with_record_and_column(tmp_path: Path) -> None:
    folder = made(tmp_path)
    (mark,) = store.read(folder / "marks.csv", Mark)
    (match,) = store.read(folder / "matches.csv", MatchResult)
    bad_mark = replace(mark, kind="smear", strength="awful", code=300.0)
    bad_match = replace(match, method="guess", rect_px="1 2 three 4", low_percent=5.0)
    (folder / "marks.csv").write_bytes(records.header(Mark) + records.record_line(bad_mark))
    (folder / "matches.csv").write_bytes(records.header(MatchResult) + records.record_line(bad_match))
    assert check(folder / "marks.csv").problems == (
        "marks.csv: record 2: kind: 'smear' is not one of band, line, blotch, tint, pixel fault",
        "marks.csv: record 2: strength: 'awful' is not one of just seen, plain, distracting",
        "marks.csv: record 2: code: 300 is outside 0..255",
    )
    assert len(check(folder / "matches.csv").problems) == 3
    told = check(tmp_path / "desk").problems
    assert len(told) == 6
    assert told[0].startswith(f"{folder.name}/marks.csv: record 2: kind")


def test_a_marks_file_with_other_columns_is_a_fault_of_the_folder(tmp_path: Path) -> None:
    folder = made(tmp_path)
    (folder / "marks.csv").write_text("what,is,this\r\n", encoding="utf-8")
    assert any("marks.csv: line 1" in told for told in check(tmp_path / "desk").problems)


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
