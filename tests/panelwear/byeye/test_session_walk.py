"""Whole by-eye sessions on a screen of pixels without a window: the eye looks at what is really shown."""

from __future__ import annotations

import tomllib
import warnings
from pathlib import Path
from random import Random

import numpy as np
import pytest

from panelwear.byeye.eye_files import EyeFindings, compared_marks, earlier_marks, earlier_matches
from panelwear.byeye.map_picture import write_map
from panelwear.byeye.retention_looks import choose_target, flat_field
from panelwear.byeye.walk_fields import MatchTarget
from panelwear.errors import FileFault, ScreenFault, Stopped, UsageError
from panelwear.folder import checkpoint
from panelwear.readings.marks import Mark
from panelwear.screen.fake import FakeScreen
from tests.panelwear.byeye.eye import BADGE, CHART, HEIGHT, WIDTH, EyeScreen, Quiet, clock, look_session, play

GREY = flat_field("grey", 128.0)
PLACE = MatchTarget(BADGE.name, BADGE.rect)


def test_a_walk_by_keys_marks_notes_makes_a_zone_and_leaves(tmp_path: Path) -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    session = look_session(tmp_path / "desk", screen, now)
    play(screen, "right", "m", "left", "return", "return", "2", "t", "down", "return", "z", "return", "return", "q")
    session.walk(0.0)
    (mark,) = EyeFindings(session.job.checkpoint).all_marks
    assert (mark.kind, mark.strength, mark.note, mark.zone) == ("band", "plain", "only from the side", "seen-1")
    assert mark.field == "field/centre/grey/Y1/full"
    assert mark.level_cd_m2 == pytest.approx(1.0, rel=1e-3)
    assert mark.x0_mm == pytest.approx(mark.x0_px / 2)
    assert mark.time_utc.startswith("2026-02-03T20:00:")
    text = (tmp_path / "desk" / "panel.toml").read_text(encoding="utf-8")
    zone = tomllib.loads(text)["zones"][-1]
    assert zone["name"] == "seen-1"
    assert zone["rect_px"] == [mark.rect.x, mark.rect.y, mark.rect.w, mark.rect.h]
    assert "# What is taken for granted" in text, "comments are kept"


def test_marks_are_on_the_disk_the_moment_they_are_made(tmp_path: Path) -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    session = look_session(tmp_path / "desk", screen, now)
    play(screen, "m", "return", "return", "return", "escape")
    with pytest.raises(Stopped):
        session.walk(0.0)
    assert len(EyeFindings(session.job.checkpoint).all_marks) == 1


def test_a_monitor_that_goes_away_loses_no_mark(tmp_path: Path) -> None:
    now = clock()

    class Unplugged(FakeScreen):
        def poll(self):  # type: ignore[no-untyped-def]
            if now.monotonic_s() > 1008:
                raise ScreenFault("the display server went away while a pattern was on; what was read is kept")
            return super().poll()

    screen = Unplugged(WIDTH, HEIGHT, now)
    session = look_session(tmp_path / "desk", screen, now)
    play(screen, "m", "return", "return", "return", "right")
    with pytest.raises(ScreenFault):
        session.walk(0.0)
    assert len(EyeFindings(session.job.checkpoint).all_marks) == 1


def test_a_screen_that_is_moved_is_said_on_it_and_on_the_terminal(tmp_path: Path) -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    session = look_session(tmp_path / "desk", screen, now)
    screen.happen("resized", after_s=0.5)
    screen.happen("display-changed", after_s=5.0)
    screen.press("q", after_s=6.0)
    session.walk(0.0)
    operator = session.bench.operator
    assert isinstance(operator, Quiet)
    assert [told[:40] for told in operator.told] == ["The screen was moved or resized: look wh"]
    assert any("moved or resized" in line for card in screen.note.cards if card for line in card.lines)


def test_taking_back_a_mark_takes_it_out_of_the_file(tmp_path: Path) -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    session = look_session(tmp_path / "desk", screen, now)
    mark = ("m", "return", "return", "return")
    play(screen, *mark, *mark, "u", "2", "q")
    session.walk(0.0)
    assert [m.mark for m in EyeFindings(session.job.checkpoint).all_marks] == [1]


def test_an_earlier_sessions_mark_is_taken_out_of_the_file_and_put_back(tmp_path: Path) -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    first = look_session(tmp_path / "desk", screen, now)
    play(screen, "m", "return", "return", "1", "q")
    first.walk(0.0)
    (mark,) = EyeFindings(first.job.checkpoint).all_marks
    second = look_session(tmp_path / "desk", screen, now)
    play(screen, "u", "2", "q")
    second.walk(0.0)
    assert EyeFindings(second.job.checkpoint).all_marks == []
    second.findings.put_back(1)
    assert EyeFindings(second.job.checkpoint).all_marks == [mark]


def test_escape_leaves_a_list_and_only_then_the_screen_and_the_next_session_goes_on_there(tmp_path: Path) -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    session = look_session(tmp_path / "desk", screen, now)
    play(screen, "right", "right", "tab", "escape", "right", "escape")
    with pytest.raises(Stopped):
        session.walk(0.0)
    assert screen.darkened == 1
    stood = session.job.checkpoint.session["walk"]
    assert len(stood["seen"]) == 4
    again = look_session(tmp_path / "desk", screen, now)
    play(screen, "q")
    again.walk(0.0)
    assert again.job.checkpoint.session["walk"] == stood
    assert any("Going on at field 4" in line for card in screen.note.cards if card for line in card.lines)


def test_a_second_session_goes_on_counting_and_a_next_checkpoint_compares(tmp_path: Path) -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    mark = ("m", "return", "return")
    first = look_session(tmp_path / "desk", screen, now)
    play(screen, *mark, "1", "q")
    first.walk(0.0)
    second = look_session(tmp_path / "desk", screen, now)
    play(screen, "m", *["left"] * 8, "return", "return", "1", "q")
    second.walk(0.0)
    assert [m.mark for m in EyeFindings(second.job.checkpoint).all_marks] == [1, 2]
    second.job.checkpoint.close(now.utc())
    later = look_session(tmp_path / "desk", screen, now, hours=2000.0)
    old = earlier_marks(tmp_path / "desk", later.job.checkpoint)
    play(screen, *mark, "3", "q")
    later.walk(0.0)
    told = compared_marks(later.findings.all_marks, old)
    assert told[0] == "mark-1 (band, just seen last time): seen again, stronger: distracting"
    assert told[1] == "mark-2 (band, just seen last time): not marked this time"


def test_last_time_s_match_is_compared(tmp_path: Path) -> None:
    now = clock()
    wear = 0.01
    screen = EyeScreen(now, BADGE.rect, lambda _: wear)
    first = look_session(tmp_path / "desk", screen, now)
    screen.awake = True
    first.measure(PLACE, GREY, "adjustment", [BADGE.rect])
    first.job.checkpoint.close(now.utc())
    wear = 0.025
    later = look_session(tmp_path / "desk", screen, now, hours=2000.0)
    told = later.measure(PLACE, GREY, "adjustment", [BADGE.rect])
    assert "clock-badge: changed, stronger than last time" in told
    assert any(said.startswith("clock-badge: changed, stronger than last time +") for said in later.said)
    later.job.checkpoint.close(now.utc())
    again = look_session(tmp_path / "desk", screen, now, hours=2500.0)
    told = again.measure(PLACE, GREY, "adjustment", [BADGE.rect])
    assert "clock-badge: no change larger than " in told


def test_only_checkpoints_before_this_one_are_compared_with(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.01)
    first = look_session(tmp_path / "desk", screen, now)
    first.job.checkpoint.close(now.utc())
    later = look_session(tmp_path / "desk", screen, now, hours=2000.0)
    play(screen, "m", "return", "return", "1", "q")
    later.walk(0.0)
    screen.awake = True
    later.measure(PLACE, GREY, "adjustment", [BADGE.rect])
    later.job.checkpoint.close(now.utc())
    assert earlier_marks(tmp_path / "desk", first.job.checkpoint) == []
    assert earlier_matches(tmp_path / "desk", first.job.checkpoint) == []
    last = look_session(tmp_path / "desk", screen, now, hours=3000.0)
    assert len(earlier_marks(tmp_path / "desk", last.job.checkpoint)) == 1
    assert len(earlier_matches(tmp_path / "desk", last.job.checkpoint)) == 1


def test_a_window_that_is_closed_ends_like_escape(tmp_path: Path) -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    session = look_session(tmp_path / "desk", screen, now)
    play(screen, "m", "return", "return", "return")
    screen.happen("quit", after_s=8.0)
    with pytest.raises(Stopped):
        session.walk(0.0)
    assert len(EyeFindings(session.job.checkpoint).all_marks) == 1


def test_marks_of_an_earlier_session_can_be_matched_too(tmp_path: Path) -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    first = look_session(tmp_path / "desk", screen, now)
    play(screen, "m", "return", "return", "return", "q")
    first.walk(0.0)
    second = look_session(tmp_path / "desk", screen, now)
    play(screen, "n", "q")
    screen.press("backspace", after_s=5.0)
    screen.press("q", after_s=6.0)
    second.walk(0.0)
    lists = [card.lines for card in screen.note.cards if card and card.title == "Which one?"]
    assert any("mark-1" in line for line in lists[0])


def test_a_screen_nobody_is_at_goes_dark_and_comes_back(tmp_path: Path) -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    session = look_session(tmp_path / "desk", screen, now)
    screen.press("right", after_s=400.0)
    screen.press("q", after_s=403.0)
    session.walk(0.0)
    codes = [s.frame.fills[-1].codes for s in screen.note.shown]
    dark = codes.index((0.0, 0.0, 0.0))
    assert dark == 1
    assert codes[2] == codes[0], "the key that wakes it does nothing else"


def test_near_black_fields_come_first_only_for_dark_adapted_eyes(tmp_path: Path) -> None:
    from panelwear.byeye.walk_fields import fields_of

    now = clock()
    session = look_session(tmp_path / "desk", FakeScreen(WIDTH, HEIGHT, now), now)
    rested = fields_of(session.job.steps, session.job.resolver, 20.0)
    fresh = fields_of(session.job.steps, session.job.resolver, 5.0)
    assert rested[0].code == 1
    assert fresh[-1].code == max(s.code for s in rested[:8])
    assert {s.name for s in rested} == {s.name for s in fresh}
    assert {s.hue for s in fresh} == {"grey", "red", "green", "blue"}
    assert any(s.pattern == "smooth-ramp" for s in fresh)


def test_mashing_keys_all_evening_ends_with_readable_files(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.01)
    session = look_session(tmp_path / "desk", screen, now)
    random = Random(12)
    keys = [
        *"cehlmnostuz123456",
        "left",
        "right",
        "up",
        "down",
        "return",
        "return",
        "space",
        "backspace",
        "tab",
        "page-up",
    ]
    for number in range(1500):
        at_s = 0.5 + number * 0.21
        if random.random() < 0.2:
            x, y, button = random.randrange(WIDTH), random.randrange(HEIGHT), random.choice((1, 2, 3))
            screen.happen("pointer-down", after_s=at_s, x=x, y=y, button=button)
            screen.happen("pointer-up", after_s=at_s + 0.1, x=x + random.randrange(90), y=y, button=button)
        else:
            screen.press(random.choice(keys), after_s=at_s, shift=random.random() < 0.2)
    for level in range(6):  # each leaves one list or line; the last the screen
        screen.press("escape", after_s=900.0 + level)
    with pytest.raises(Stopped):
        session.walk(0.0)
    findings = EyeFindings(session.job.checkpoint)
    assert findings.all_marks
    assert all(m.rect.x >= 0 and m.rect.right <= WIDTH + 1 for m in findings.all_marks)
    tomllib.loads((tmp_path / "desk" / "panel.toml").read_text(encoding="utf-8"))


def test_a_general_csvw_library_reads_both_files_with_their_types(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.02)
    session = look_session(tmp_path / "desk", screen, now)
    play(screen, "m", "return", "return", "return", "q")
    session.walk(0.0)
    screen.awake = True
    session.measure(PLACE, GREY, "adjustment", [BADGE.rect])
    for name, count in (("marks.csv", "x0_mm"), ("matches.csv", "contrast_percent")):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # the library's own use of deprecated calls is not ours to judge
            from csvw import CSVW

            group = CSVW(str(session.job.checkpoint.directory / f"{name}-metadata.json"), validate=True)
            assert group.is_valid
            (row,) = list(group.tables[0].iterdicts())
        assert float(row[count]) > 0
        assert row["time_utc"].year == 2026


def test_a_file_changed_by_another_program_is_a_file_fault(tmp_path: Path) -> None:
    now = clock()
    session = look_session(tmp_path / "desk", FakeScreen(WIDTH, HEIGHT, now), now)
    (session.job.checkpoint.directory / "marks.csv").write_text("what,is,this\r\n", encoding="utf-8")
    with pytest.raises(FileFault, match=r"marks\.csv: line 1"):
        EyeFindings(session.job.checkpoint)


def test_a_zone_is_chosen_by_name_or_by_its_strongest_match(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.02)
    session = look_session(tmp_path / "desk", screen, now)
    assert choose_target(session, "chart").rect == CHART.rect
    with pytest.raises(UsageError, match=r"no zone or mark 'chrat'; there are chart, clock-badge"):
        choose_target(session, "chrat")
    with pytest.raises(UsageError, match="say which zone with --match"):
        choose_target(session, None)
    screen.awake = True
    session.measure(PLACE, GREY, "adjustment", [BADGE.rect])
    assert choose_target(session, None) == PLACE


def test_the_map_is_a_picture_of_panel_marks_and_matches(tmp_path: Path) -> None:
    from PIL import Image

    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.02)
    session = look_session(tmp_path / "desk", screen, now)
    empty, full = tmp_path / "empty.png", tmp_path / "full.png"
    write_map(empty, session.job.panel, "nothing", [], [])
    screen.awake = True
    session.measure(PLACE, GREY, "adjustment", [BADGE.rect])
    line = Mark(1, 1, "", "f", "grey", 1, 1, "", "line", "plain", "line", 10, 10, 600, 300, 5, 5, 300, 150, 1, "", "")
    write_map(full, session.job.panel, "something", [line], session.findings.matches)
    with Image.open(empty) as one, Image.open(full) as other:
        assert one.size == other.size
        assert one.tobytes() != other.tobytes()
        ink = (0xE0, 0xA4, 0x58)
        count = [int((np.asarray(p)[:, :, :3] == ink).all(axis=2).sum()) for p in (one, other)]
        assert count[1] > count[0] + 300


def test_a_stopped_adaptation_keeps_the_session(tmp_path: Path) -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    session = look_session(tmp_path / "desk", screen, now)
    session.job.adapt_min = 5.0
    screen.press("return", after_s=63.0)
    assert session.adapt() == pytest.approx(63 / 60, abs=0.05)
    assert checkpoint.load(session.job.checkpoint.directory).session["adapted_min"] == pytest.approx(1.05, abs=0.05)
    cards = [c.lines[0] for c in screen.note.cards if c]
    assert cards[0].startswith("5:00 ")
    assert cards[6].startswith("4:30 ")
