"""Whole by-eye sessions on a screen of pixels without a window: the eye looks at what is really shown."""

from __future__ import annotations

import argparse
import json
import math
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from groundwork.clock import VirtualClock
from panelwear.byeye.eye_files import EyeFindings
from panelwear.byeye.look_session import LookSession
from panelwear.byeye.retention_looks import flat_field, measure_retention, unfinished
from panelwear.byeye.walk_fields import MatchTarget
from panelwear.commands import look
from panelwear.errors import Stopped
from panelwear.screen.fake import FakeScreen
from patterns.frame import Rect
from sequences.model import Zone
from tests.panelwear.byeye.eye import BADGE, CHART, HEIGHT, WIDTH, EyeScreen, clock, look_session

GREY = flat_field("grey", 128.0)
PLACE = MatchTarget(BADGE.name, BADGE.rect)


@pytest.mark.parametrize("planted", [-0.03, -0.008, 0.0, 0.012, 0.03])
def test_planted_wear_is_matched_on_real_pixels(tmp_path: Path, planted: float) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: planted)
    session = look_session(tmp_path / "desk", screen, now)
    screen.awake = True
    told = session.measure(PLACE, GREY, "adjustment", [CHART.rect, BADGE.rect])
    (row,) = EyeFindings(session.job.checkpoint).matches
    assert row.contrast_percent == pytest.approx(100 * planted, abs=0.25)
    assert row.low_percent is not None
    assert row.high_percent is not None
    assert row.low_percent < 100 * planted < row.high_percent
    assert row.trials == 8
    assert (row.sham_trials, row.sham_found) == (2, 0)
    # The eye stops at the first step inside 0.3 %, on average half a step of 0.2 % short of it.
    assert row.own_threshold_percent == pytest.approx(0.2, abs=0.12)
    assert row.note == "2 of 12 trials were shams (17 %), 2 decoys at the same place"
    assert told.endswith("; sham trials where something was found: 0 of 2 (0 %)")
    assert row.level_basis == "assumed-response"
    assert row.level_cd_m2 == pytest.approx(250 * (128 / 255) ** 2.2, rel=1e-3)
    assert told.startswith("clock-badge, grey 54.9 cd/m²: ")
    assert "%, 95 %), visibility" in told


def test_a_channel_of_its_own_is_matched_in_its_own_light(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: -0.02)
    session = look_session(tmp_path / "desk", screen, now)
    screen.awake = True
    session.measure(PLACE, flat_field("green", 180.0), "adjustment", [BADGE.rect])
    (row,) = session.findings.matches
    assert (row.hue, row.code) == ("green", 180.0)
    assert row.contrast_percent == pytest.approx(-2.0, abs=0.25)


def test_forced_choice_on_real_pixels(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.01, spread=0.005)
    screen.mode = "choose"
    session = look_session(tmp_path / "desk", screen, now)
    screen.awake = True
    session.measure(PLACE, GREY, "forced-choice", [BADGE.rect])
    (row,) = session.findings.matches
    assert row.contrast_percent == pytest.approx(1.0, abs=0.45)
    assert row.u_percent is not None
    assert row.u_percent < 0.2
    decoys = int(row.note.split(", ")[1].split(" ")[0])
    assert 0.15 <= row.sham_trials / (row.trials + row.sham_trials + decoys) <= 0.2
    assert abs(row.sham_trials - decoys) <= 1
    assert any(f"sham trials called brighter: {row.sham_found} of {row.sham_trials} (" in s for s in session.said)


def test_a_detection_threshold_on_real_pixels(tmp_path: Path) -> None:
    now = clock()
    # A zone on the right half, so that its unworn places lie on both halves.
    zone = Rect(400, 300, 128, 64)
    screen = EyeScreen(now, zone, lambda _: 0.0)
    screen.mode, screen.threshold = "detect", 0.008
    session = look_session(tmp_path / "desk", screen, now)
    screen.awake = True
    told = session.measure(MatchTarget("corner", zone), GREY, "detection", [BADGE.rect])
    (row,) = session.findings.matches
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


def broken_off(folder: Path, now: VirtualClock, *, after_min: float) -> tuple[LookSession, EyeScreen]:
    """Begin a recheck of wear that stays, and press Escape so long after."""
    screen = EyeScreen(now, BADGE.rect, lambda at_s: 0.02)
    session = look_session(folder, screen, now)
    screen.awake = True
    screen.press("escape", after_s=after_min * 60)
    with pytest.raises(Stopped):
        measure_retention(session, PLACE, GREY)
    return session, screen


def test_a_recheck_that_was_broken_off_is_recorded_as_unfinished_and_gone_on_with(tmp_path: Path) -> None:
    now = clock()
    session, _ = broken_off(tmp_path / "desk", now, after_min=20)
    kept = session.job.checkpoint.session["recheck"]
    assert (kept["finished"], kept["done_min"], "verdict" in kept) == (False, [0.0, 15.0], False)
    assert "2 looks stored, 3 give a verdict" in session.said[-1] and "goes on until 21:10" in session.said[-1]

    now.sleep(300)
    again = EyeScreen(now, BADGE.rect, lambda at_s: 0.02, seed=2)
    later = look_session(tmp_path / "desk", again, now)
    again.awake = True
    told = measure_retention(later, PLACE, GREY)

    found = later.job.checkpoint.session["recheck"]
    assert (found["finished"], found["done_min"], found["verdict"]) == (True, [0.0, 15.0, 30.0, 60.0], "lasting"), told
    assert found["minutes"] == pytest.approx([0, 15, 30, 60], abs=2)
    assert len(found["interruptions"]) == 1 and "Interrupted once" in told
    assert [n.after_min for n in later.findings.matches] == [0, 15, 30, 60]


def test_three_looks_give_a_verdict_when_it_is_broken_off(tmp_path: Path) -> None:
    session, _ = broken_off(tmp_path / "desk", clock(), after_min=45)
    kept = session.job.checkpoint.session["recheck"]
    assert (kept["finished"], kept["verdict"]) == (False, "lasting")
    assert "Lasting" in session.said[-1] and "Unfinished: 1 look was still to come" in session.said[-1]


def test_a_recheck_of_yesterday_is_not_gone_on_with(tmp_path: Path) -> None:
    now = clock()
    session, _ = broken_off(tmp_path / "desk", now, after_min=20)
    sessions = session.job.checkpoint.record["sessions"]
    assert unfinished(sessions, PLACE, GREY, now.utc()) is not None
    assert unfinished(sessions, replace(PLACE, name="chart"), GREY, now.utc()) is None
    assert unfinished(sessions, PLACE, GREY, now.utc() + timedelta(hours=1)) is None


def test_a_recheck_says_when_its_looks_are_and_takes_as_many_settings_as_wished(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda at_s: 0.02)
    session = look_session(tmp_path / "desk", screen, now)
    screen.awake = True
    measure_retention(session, PLACE, GREY, 8)
    assert {row.trials for row in session.findings.matches} == {8}
    said = " ".join(session.bench.operator.told)  # type: ignore[attr-defined]
    begun = now.utc().astimezone().replace(hour=20, minute=0)
    assert f"looks at {', '.join(f'{begun + timedelta(minutes=m):%H:%M}' for m in (0, 15, 30, 60))}" in said
    cards = " ".join(line for card in screen.note.cards if card is not None for line in card.lines)
    assert f"look at {begun + timedelta(minutes=15):%H:%M}" in cards


@pytest.mark.slow
@pytest.mark.parametrize(
    ("lasting", "passing", "verdict"), [(0.02, 0.0, "lasting"), (0.0, 0.02, "passing"), (0.01, 0.015, "mixed")]
)
def test_recheck_tells_retention_from_wear(tmp_path: Path, lasting: float, passing: float, verdict: str) -> None:
    now = clock()
    began_s = now.monotonic_s()
    screen = EyeScreen(now, BADGE.rect, lambda at_s: lasting + passing * math.exp(-(at_s - began_s) / 60 / 12))
    session = look_session(tmp_path / "desk", screen, now)
    screen.awake = True
    told = measure_retention(session, PLACE, GREY)
    record = json.loads((session.job.checkpoint.directory / "checkpoint.json").read_text(encoding="utf-8"))
    found = record["sessions"][-1]["recheck"]
    assert found["verdict"] == verdict, told
    assert found["minutes"][0] == 0
    assert found["minutes"][3] == pytest.approx(60, abs=2)
    assert abs(found["lasting_percent"] - 100 * lasting) < 3 * found["u_lasting_percent"]
    assert [n.after_min for n in session.findings.matches] == [0, 15, 30, 60]
    moving = {s.frame_sha256 for s in screen.note.shown if s.frame.pattern == "warm-up"}
    assert len(moving) >= 8, "the rest field moves"


def test_a_zone_of_one_pixel_can_be_asked_for_and_says_what_it_cannot_do(tmp_path: Path) -> None:
    now = clock()
    worn = Rect(300, 200, 1, 1)
    screen = EyeScreen(now, worn, lambda _: 0.02)
    screen.threshold = 0.02
    session = look_session(tmp_path / "desk", screen, now)
    session.job.edge_px = session.matching.edge_px = 0
    screen.awake = True
    session.measure(MatchTarget("speck", worn), GREY, "adjustment", [])
    (row,) = session.findings.matches
    assert row.finest_step_percent == pytest.approx(1.727, abs=0.001)
    assert "allow steps of 1.73 % only" in row.note


def test_overlapping_zones_are_measured_where_they_lie(tmp_path: Path) -> None:
    now = clock()
    over = Zone("over", Rect(100, 80, 200, 100), (200.0, 130.0), "chart")
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.01)
    session = look_session(tmp_path / "desk", screen, now, zones=(CHART, BADGE, over))
    screen.awake = True
    session.measure(PLACE, GREY, "adjustment", [z.rect for z in session.job.panel.zones])
    (row,) = session.findings.matches
    assert row.contrast_percent == pytest.approx(1.0, abs=0.25)
    assert row.sham_trials == 2


def test_a_zone_that_fills_the_screen_has_no_sham_and_says_so(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, Rect(0, 0, 500, 380), lambda _: 0.01)
    session = look_session(tmp_path / "desk", screen, now)
    screen.awake = True
    session.measure(MatchTarget("most", Rect(0, 0, 500, 380)), GREY, "adjustment", [])
    (row,) = session.findings.matches
    assert row.sham_trials == 0
    assert "no unworn place" in row.note
    assert any(said.endswith("; no sham trials") for said in session.said)


def test_what_cannot_be_measured_is_said_in_one_sentence_and_stores_nothing(tmp_path: Path) -> None:
    now = clock()
    session = look_session(tmp_path / "desk", FakeScreen(WIDTH, HEIGHT, now), now)
    off = session.measure(MatchTarget("far", Rect(700, 0, 10, 10)), GREY, "adjustment", [])
    assert "lies outside the screen of 640 x 400 pixels" in off
    white = session.measure(PLACE, flat_field("grey", 254.0), "adjustment", [])
    assert "leaves no room to go brighter" in white
    huge = session.measure(MatchTarget("all", CHART.rect), GREY, "detection", [])
    assert "no two unworn places" in huge
    assert session.findings.matches == []
    assert not (session.job.checkpoint.directory / "matches.csv").exists()


def test_escape_in_a_matching_keeps_what_is_enough_for_a_result(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.01)
    session = look_session(tmp_path / "desk", screen, now)
    screen.awake = True
    screen.press("escape", after_s=100.0)
    with pytest.raises(Stopped):
        session.measure(PLACE, GREY, "adjustment", [BADGE.rect])
    rows = EyeFindings(session.job.checkpoint).matches
    assert len(rows) == 1
    assert rows[0].note.endswith("stopped before the end")
    assert session.said[-1].endswith("stopped before the end"), "what was found is in the summary too"
    assert 4 <= rows[0].trials < 8


def test_escape_at_once_keeps_nothing_and_breaks_nothing(tmp_path: Path) -> None:
    now = clock()
    screen = EyeScreen(now, BADGE.rect, lambda _: 0.01)
    session = look_session(tmp_path / "desk", screen, now)
    screen.press("escape", after_s=2.0)
    with pytest.raises(Stopped):
        session.measure(PLACE, GREY, "adjustment", [BADGE.rect])
    assert EyeFindings(session.job.checkpoint).matches == []


def test_the_former_name_of_an_option_is_understood() -> None:
    parser = argparse.ArgumentParser()
    look.add_arguments(parser)
    for option in ("--match", "--null"):
        assert parser.parse_args(["desk", option, "clock-badge"]).match == "clock-badge"
    assert parser.parse_args(["desk"]).match is None
