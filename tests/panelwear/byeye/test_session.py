"""Whole by-eye sittings on a screen of pixels without a window: the eye looks at what is really shown."""

from __future__ import annotations

import json
import math
import tomllib
import warnings
from datetime import UTC, datetime
from pathlib import Path
from random import Random

import numpy as np
import pytest

from panelwear.byeye.again import choose_target, recheck, stop_at
from panelwear.byeye.finds import Finds, compared, earlier_marks
from panelwear.byeye.map_picture import write_map
from panelwear.byeye.marks import Mark
from panelwear.byeye.stops import Target
from panelwear.clock import VirtualClock
from panelwear.errors import FileFault, ScreenFault, Stopped, UsageError
from panelwear.folder import checkpoint
from panelwear.screen.fake import FakeScreen
from patterns.frame import Rect
from sequences.model import Zone
from tests.panelwear.byeye.eye import BADGE, CHART, HEIGHT, WIDTH, EyeScreen, Quiet, look_session

GREY = stop_at("grey", 128.0)
PLACE = Target(BADGE.name, BADGE.rect)


def clock() -> VirtualClock:
    return VirtualClock(datetime(2026, 2, 3, 20, 0, tzinfo=UTC))


def play(screen: FakeScreen, *keys: str) -> None:
    """Queue keys a second apart, so that each finds the state the last one made."""
    for number, key in enumerate(keys):
        screen.press(key, after_s=1.0 + number)


@pytest.mark.parametrize("planted", [-0.03, -0.008, 0.0, 0.012, 0.03])
def test_planted_wear_is_nulled_on_real_pixels(tmp_path: Path, planted: float) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: planted)
    session = look_session(tmp_path / "desk", screen, now)
    screen.awake = True
    told = session.measure(PLACE, GREY, "adjustment", [CHART.rect, BADGE.rect])
    (row,) = Finds(session.job.checkpoint).nulls
    assert row.contrast_percent == pytest.approx(100 * planted, abs=0.25)
    assert row.low_percent is not None
    assert row.high_percent is not None
    assert row.low_percent < 100 * planted < row.high_percent
    assert row.trials == 8
    assert (row.sham_trials, row.sham_found) == (2, 0)
    # The eye stops at the first step inside 0.3 %, on average half a step of 0.2 % short of it.
    assert row.own_threshold_percent == pytest.approx(0.2, abs=0.12)
    assert row.level_basis == "assumed-response"
    assert row.level_cd_m2 == pytest.approx(250 * (128 / 255) ** 2.2, rel=1e-3)
    assert told.startswith("clock-badge, grey 54.9 cd/m²: ")
    assert "%, 95 %), visibility" in told


def test_a_channel_of_its_own_is_nulled_in_its_own_light(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: -0.02)
    session = look_session(tmp_path / "desk", screen, now)
    screen.awake = True
    session.measure(PLACE, stop_at("green", 180.0), "adjustment", [BADGE.rect])
    (row,) = session.finds.nulls
    assert (row.hue, row.code) == ("green", 180.0)
    assert row.contrast_percent == pytest.approx(-2.0, abs=0.25)


def test_forced_choice_on_real_pixels(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.01, spread=0.005)
    screen.mode = "choose"
    session = look_session(tmp_path / "desk", screen, now)
    screen.awake = True
    session.measure(PLACE, GREY, "forced-choice", [BADGE.rect])
    (row,) = session.finds.nulls
    assert row.contrast_percent == pytest.approx(1.0, abs=0.45)
    assert row.u_percent is not None
    assert row.u_percent < 0.2
    assert row.sham_trials > 0


def test_a_detection_threshold_on_real_pixels(tmp_path: Path) -> None:
    now = clock()
    # A zone on the right half, so that its plain places lie on both halves.
    zone = Rect(400, 300, 128, 64)
    screen = EyeScreen(now, zone, lambda _: 0.0)
    screen.mode, screen.threshold = "detect", 0.008
    session = look_session(tmp_path / "desk", screen, now)
    screen.awake = True
    told = session.measure(Target("corner", zone), GREY, "detection", [BADGE.rect])
    (row,) = session.finds.nulls
    assert row.contrast_percent is None
    assert row.own_threshold_percent == pytest.approx(0.8, rel=0.35)
    assert 15 <= row.trials <= 60
    assert told.startswith("corner, grey 54.9 cd/m²: you can see 0.")


def test_what_an_index_rests_on_is_always_said(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.02)
    session = look_session(tmp_path / "desk", screen, now)
    screen.awake = True
    session.measure(PLACE, GREY, "adjustment", [BADGE.rect])
    rests_on = session.said[-1]
    for part in (
        "SEMI D31, extended; ±30 %",
        "GSDF steps",
        "Barten",
        "600 mm away",
        "flat grey, dark room",
        "assumed-",
    ):
        assert part in rests_on


@pytest.mark.parametrize(
    ("lasting", "passing", "verdict"), [(0.02, 0.0, "lasting"), (0.0, 0.02, "passing"), (0.01, 0.015, "mixed")]
)
def test_recheck_tells_retention_from_wear(tmp_path: Path, lasting: float, passing: float, verdict: str) -> None:
    now = clock()
    began_s = now.monotonic_s()
    screen = EyeScreen(now, BADGE.rect, lambda at_s: lasting + passing * math.exp(-(at_s - began_s) / 60 / 12))
    session = look_session(tmp_path / "desk", screen, now)
    screen.awake = True
    told = recheck(session, PLACE, GREY)
    record = json.loads((session.job.checkpoint.directory / "checkpoint.json").read_text(encoding="utf-8"))
    found = record["sittings"][-1]["recheck"]
    assert found["verdict"] == verdict, told
    assert found["minutes"][0] == 0
    assert found["minutes"][3] == pytest.approx(60, abs=2)
    assert abs(found["lasting_percent"] - 100 * lasting) < 3 * found["u_lasting_percent"]
    assert [n.after_min for n in session.finds.nulls] == [0, 15, 30, 60]
    moving = {s.frame_sha256 for s in screen.note.shown if s.frame.pattern == "warm-up"}
    assert len(moving) >= 8, "the rest field moves"


def test_a_zone_of_one_pixel_can_be_asked_for_and_says_what_it_cannot_do(tmp_path: Path) -> None:
    now = clock()
    worn = Rect(300, 200, 1, 1)
    screen = EyeScreen(now, worn, lambda _: 0.02)
    screen.threshold = 0.02
    session = look_session(tmp_path / "desk", screen, now)
    session.job.edge_px = session.weighing.edge_px = 0
    screen.awake = True
    session.measure(Target("speck", worn), GREY, "adjustment", [])
    (row,) = session.finds.nulls
    assert row.finest_step_percent == pytest.approx(1.727, abs=0.001)
    assert "allow steps of 1.73% only" in row.note


def test_overlapping_zones_are_measured_where_they_lie(tmp_path: Path) -> None:
    now = clock()
    over = Zone("over", Rect(100, 80, 200, 100), (200.0, 130.0), "chart")
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.01)
    session = look_session(tmp_path / "desk", screen, now, zones=(CHART, BADGE, over))
    screen.awake = True
    session.measure(PLACE, GREY, "adjustment", [z.rect for z in session.job.panel.zones])
    (row,) = session.finds.nulls
    assert row.contrast_percent == pytest.approx(1.0, abs=0.25)
    assert row.sham_trials == 2


def test_a_zone_that_fills_the_screen_has_no_sham_and_says_so(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, Rect(0, 0, 500, 380), lambda _: 0.01)
    session = look_session(tmp_path / "desk", screen, now)
    screen.awake = True
    session.measure(Target("most", Rect(0, 0, 500, 380)), GREY, "adjustment", [])
    (row,) = session.finds.nulls
    assert row.sham_trials == 0
    assert "no plain place" in row.note


def test_what_cannot_be_measured_is_said_in_one_sentence_and_stores_nothing(tmp_path: Path) -> None:
    now = clock()
    session = look_session(tmp_path / "desk", FakeScreen(WIDTH, HEIGHT, now), now)
    off = session.measure(Target("far", Rect(700, 0, 10, 10)), GREY, "adjustment", [])
    assert "lies outside the screen of 640 x 400 pixels" in off
    white = session.measure(PLACE, stop_at("grey", 254.0), "adjustment", [])
    assert "leaves no room to go brighter" in white
    huge = session.measure(Target("all", CHART.rect), GREY, "detection", [])
    assert "no two plain places" in huge
    assert session.finds.nulls == []
    assert not (session.job.checkpoint.directory / "nulls.csv").exists()


def test_escape_in_a_nulling_keeps_what_is_enough_for_a_result(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.01)
    session = look_session(tmp_path / "desk", screen, now)
    screen.awake = True
    screen.press("escape", after_s=85.0)
    with pytest.raises(Stopped):
        session.measure(PLACE, GREY, "adjustment", [BADGE.rect])
    rows = Finds(session.job.checkpoint).nulls
    assert len(rows) == 1
    assert rows[0].note == "stopped before the end"
    assert 4 <= rows[0].trials < 8


def test_escape_at_once_keeps_nothing_and_breaks_nothing(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.01)
    session = look_session(tmp_path / "desk", screen, now)
    screen.press("escape", after_s=2.0)
    with pytest.raises(Stopped):
        session.measure(PLACE, GREY, "adjustment", [BADGE.rect])
    assert Finds(session.job.checkpoint).nulls == []


def test_a_walk_by_keys_marks_notes_makes_a_zone_and_leaves(tmp_path: Path) -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    session = look_session(tmp_path / "desk", screen, now)
    play(screen, "right", "m", "left", "return", "return", "2", "t", "1", "z", "return", "return", "q")
    session.walk(0.0)
    (mark,) = Finds(session.job.checkpoint).all_marks
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
    assert len(Finds(session.job.checkpoint).all_marks) == 1


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
    assert len(Finds(session.job.checkpoint).all_marks) == 1


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
    play(screen, *mark, *mark, "u", "q")
    session.walk(0.0)
    assert [m.mark for m in Finds(session.job.checkpoint).all_marks] == [1]


def test_a_second_sitting_goes_on_counting_and_a_next_checkpoint_compares(tmp_path: Path) -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    mark = ("m", "return", "return")
    first = look_session(tmp_path / "desk", screen, now)
    play(screen, *mark, "1", "q")
    first.walk(0.0)
    second = look_session(tmp_path / "desk", screen, now)
    play(screen, "m", *["left"] * 8, "return", "return", "1", "q")
    second.walk(0.0)
    assert [m.mark for m in Finds(second.job.checkpoint).all_marks] == [1, 2]
    second.job.checkpoint.close(now.utc())
    later = look_session(tmp_path / "desk", screen, now, hours=2000.0)
    old = earlier_marks(tmp_path / "desk", later.job.checkpoint)
    play(screen, *mark, "3", "q")
    later.walk(0.0)
    told = compared(later.finds.all_marks, old)
    assert told[0] == "mark-1 (band, just seen last time): seen again, stronger: distracting"
    assert told[1] == "mark-2 (band, just seen last time): not marked this time"


def test_last_time_s_null_is_compared(tmp_path: Path) -> None:
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


def test_a_window_that_is_closed_ends_like_escape(tmp_path: Path) -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    session = look_session(tmp_path / "desk", screen, now)
    play(screen, "m", "return", "return", "return")
    screen.happen("quit", after_s=8.0)
    with pytest.raises(Stopped):
        session.walk(0.0)
    assert len(Finds(session.job.checkpoint).all_marks) == 1


def test_marks_of_an_earlier_sitting_can_be_nulled_too(tmp_path: Path) -> None:
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
    from panelwear.byeye.fields import walk_stops

    now = clock()
    session = look_session(tmp_path / "desk", FakeScreen(WIDTH, HEIGHT, now), now)
    rested = walk_stops(session.job.steps, session.job.resolver, 20.0)
    fresh = walk_stops(session.job.steps, session.job.resolver, 5.0)
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
    screen.press("escape", after_s=900.0)
    with pytest.raises(Stopped):
        session.walk(0.0)
    finds = Finds(session.job.checkpoint)
    assert finds.all_marks
    assert all(m.rect.x >= 0 and m.rect.right <= WIDTH + 1 for m in finds.all_marks)
    tomllib.loads((tmp_path / "desk" / "panel.toml").read_text(encoding="utf-8"))


def test_a_general_csvw_library_reads_both_files_with_their_types(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.02)
    session = look_session(tmp_path / "desk", screen, now)
    play(screen, "m", "return", "return", "return", "q")
    session.walk(0.0)
    screen.awake = True
    session.measure(PLACE, GREY, "adjustment", [BADGE.rect])
    for name, count in (("marks.csv", "x0_mm"), ("nulls.csv", "contrast_percent")):
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
        Finds(session.job.checkpoint)


def test_a_zone_is_chosen_by_name_or_by_its_strongest_null(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.02)
    session = look_session(tmp_path / "desk", screen, now)
    assert choose_target(session, "chart").rect == CHART.rect
    with pytest.raises(UsageError, match=r"no zone or mark 'chrat'; there are chart, clock-badge"):
        choose_target(session, "chrat")
    with pytest.raises(UsageError, match="say which zone with --null"):
        choose_target(session, None)
    screen.awake = True
    session.measure(PLACE, GREY, "adjustment", [BADGE.rect])
    assert choose_target(session, None) == PLACE


def test_the_map_is_a_picture_of_panel_marks_and_nulls(tmp_path: Path) -> None:
    from PIL import Image

    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.02)
    session = look_session(tmp_path / "desk", screen, now)
    empty, full = tmp_path / "empty.png", tmp_path / "full.png"
    write_map(empty, session.job.panel, "nothing", [], [])
    screen.awake = True
    session.measure(PLACE, GREY, "adjustment", [BADGE.rect])
    line = Mark(1, 1, "", "f", "grey", 1, 1, "", "line", "plain", "line", 10, 10, 600, 300, 5, 5, 300, 150, 1, "", "")
    write_map(full, session.job.panel, "something", [line], session.finds.nulls)
    with Image.open(empty) as one, Image.open(full) as other:
        assert one.size == other.size
        assert one.tobytes() != other.tobytes()
        ink = (0xE0, 0xA4, 0x58)
        count = [int((np.asarray(p)[:, :, :3] == ink).all(axis=2).sum()) for p in (one, other)]
        assert count[1] > count[0] + 300


def test_a_stopped_adaptation_keeps_the_sitting(tmp_path: Path) -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    session = look_session(tmp_path / "desk", screen, now)
    session.job.adapt_min = 5.0
    screen.press("return", after_s=63.0)
    assert session.adapt() == pytest.approx(63 / 60, abs=0.05)
    assert checkpoint.load(session.job.checkpoint.directory).sitting["adapted_min"] == pytest.approx(1.05, abs=0.05)
    cards = [c.lines[0] for c in screen.note.cards if c]
    assert cards[0].startswith("5:00 ")
    assert cards[6].startswith("4:30 ")
