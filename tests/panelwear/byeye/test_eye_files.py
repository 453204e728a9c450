from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from groundwork.clock import VirtualClock
from panelwear.byeye.retention_looks import flat_field
from panelwear.byeye.walk_fields import MatchTarget
from panelwear.readings import records, store
from panelwear.readings.marks import Mark
from panelwear.readings.matches import MatchResult
from panelwear.upkeep.check import check
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
