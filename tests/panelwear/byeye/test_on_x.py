"""Whole by-eye sessions on a real X screen, by real keys and pointer; what stands there is taken from the server."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import time
from collections.abc import Callable, Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from panelwear.byeye.zone_correction import correction_frame
from panelwear.cli import main
from panelwear.folder.panel import load_panel
from panelwear.panel.assumed import assumed_response
from panelwear.readings import store
from panelwear.readings.marks import Mark
from panelwear.readings.matches import MatchResult
from panelwear.upkeep.create import PanelSpec, new_panel
from patterns import build
from patterns.frame import Picture, Rect
from patterns.raster import raster
from sequences.model import Zone
from tests.screens import PATIENCE_S, Display, Program, different_pixels, program, two_heads, xvfb

pytestmark = pytest.mark.screen
SIZE = (1280, 720)
BADGE = Zone("clock-badge", Rect(960, 96, 192, 96), (1056.0, 144.0))
PEAK_CD_M2 = 250.0
FLAT = """
name = "flat"
description = "One grey, whose level a match is made on."
[[steps]]
kind = "hold"
  [[steps.patches]]
  group = "field"
  codes = [128]
"""


@pytest.fixture(scope="module")
def display() -> Iterator[Display]:
    with xvfb(*SIZE) as server:
        yield server


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A panel folder; panel and zone are invented."""
    path = tmp_path / "harbour-desk"
    new_panel(path, PanelSpec("harbour-desk", *SIZE, (598.0, 336.0), peak_cd_m2=PEAK_CD_M2, zones=(BADGE,)))
    return path


def luminance(picture: Picture) -> np.ndarray:
    """Luminance in cd/m² on the assumed gamma of 2.2."""
    return PEAK_CD_M2 * ((picture / 255.0) ** 2.2) @ np.array([0.2126, 0.7152, 0.0722])


def wait_until(display: Display, seen: object, what: str, head: int = 0) -> Picture:
    """Grab until ``seen(picture)`` holds."""
    end_s = time.monotonic() + PATIENCE_S
    while time.monotonic() < end_s:
        picture = display.grab(head)
        if seen(picture):  # type: ignore[operator]
            return picture
        time.sleep(0.1)
    raise AssertionError(f"never seen: {what}")


def press_and_see(display: Display, *keys: str, head: int = 0) -> None:
    """Press keys one by one, each once the one before has changed the picture: together they pass for one held."""
    for key in keys:
        before = display.grab(head)
        display.key(key)
        wait_until(display, lambda p, before=before: different_pixels(p, before) > 0, f"what {key} does", head)


def is_plain(code: float) -> object:
    field = raster(build("field", *SIZE, codes=(code,) * 3))
    return lambda picture: different_pixels(picture, field) == 0


def with_card(code: float) -> object:
    field = raster(build("field", *SIZE, codes=(code,) * 3))
    return lambda picture: 500 < different_pixels(picture, field) < 0.8 * field.shape[0] * field.shape[1]


def start(run: Program, display: Display) -> None:
    """Let the first field come up."""
    run.wait_cautions()
    run.wait_for("SHOWN field")


def first_code(folder: Path) -> float:
    return assumed_response(load_panel(folder).assumed_response).code_for("grey", 0.5)


def checkpoint_of(folder: Path) -> Path:
    (found,) = (folder / "checkpoints").iterdir()
    return found


def look(folder: Path, *more: str) -> tuple[str, ...]:
    return ("look", str(folder), "--hours", "1460", "--adapt", "0", "--seed", "5", "--yes", *more)


def test_a_session_by_keys_from_help_card_to_map(display: Display, folder: Path) -> None:
    with program(display, *look(folder)) as run:
        start(run, display)
        grey = raster(build("field", *SIZE, codes=(round(first_code(folder), 6),) * 3))
        shown = wait_until(display, lambda p: 500 < different_pixels(p, grey) < 600_000, "help card")
        assert luminance(shown).max() <= 1.0, "nothing is brighter than 1 cd/m² on a dark field"
        display.key("Right")
        run.wait_for("SHOWN field")
        for key in ("m", "Right", "Return", "Return", "2"):
            display.key(key)
            time.sleep(0.3)
        marks = checkpoint_of(folder) / "marks.csv"
        wait_until(display, lambda _: marks.exists(), "marks.csv, at once")
        display.key("q")
        code, errors = run.finish()
        assert (code, errors) == (0, "")
        assert any("mark-1: band, plain" in line for line in run.drain())
    (mark,) = store.read(marks, Mark)
    assert (mark.rect.w, mark.rect.h, mark.blind) == (128, 72, 1)
    assert (checkpoint_of(folder) / "by-eye-map.png").stat().st_size > 10_000
    record = json.loads((checkpoint_of(folder) / "checkpoint.json").read_text(encoding="utf-8"))
    assert record["sessions"][0]["kind"] == "look"
    assert record["sessions"][0]["ended"] == "by the person's wish"


@pytest.mark.slow
def test_a_session_by_the_mouse_alone(display: Display, folder: Path) -> None:
    def mouse(*words: str) -> None:
        display._xdotool(*words)
        time.sleep(0.35)

    with program(display, *look(folder)[:-1]) as run:
        for page, button in (("Before you go on", "go-on"), ("Before you look", "take")):
            rows = json.loads(run.wait_for("ROWS ").removeprefix("ROWS "))
            run.wait_for(f"PAGE {page}")
            run.wait_for("LISTENS")
            x, y, w, h = rows[button]
            mouse("mousemove", str(x + w // 2), str(y + h // 2), "click", "1")
        run.wait_for("SHOWN field")
        time.sleep(1.0)
        mouse("mousemove", "1275", "300", "click", "1")
        run.wait_for("SHOWN field")
        mouse("mousemove", "200", "300", "mousedown", "1")
        mouse("mousemove", "300", "340")
        mouse("mousemove", "500", "400")
        mouse("mouseup", "1")
        mouse("click", "5")
        mouse("click", "1")
        mouse("click", "1")
        # The list: a right click, the wheel up to its last line, "done for now".
        mouse("click", "3")
        mouse("click", "4")
        mouse("click", "1")
        code, errors = run.finish()
        assert (code, errors) == (0, "")
    (mark,) = store.read(checkpoint_of(folder) / "marks.csv", Mark)
    assert (mark.kind, mark.strength) == ("line", "just seen")
    assert mark.rect == Rect(200, 300, 300, 100)


@pytest.mark.slow
def test_the_overlay_hides_itself_and_leaves_the_exact_field(display: Display, folder: Path) -> None:
    response = assumed_response(load_panel(folder).assumed_response)
    from panelwear.panel.curve import MIX_PARTS

    code = round(response.code_for("grey", 1.0) * MIX_PARTS) / MIX_PARTS
    with program(display, *look(folder)) as run:
        start(run, display)
        time.sleep(0.5)
        display.key("Right")
        run.wait_for("SHOWN field")
        shown = wait_until(display, with_card(code), "status card")
        assert luminance(shown).max() <= 1.05, "the card is no brighter than the field of 1 cd/m²"
        wait_until(display, is_plain(code), "the field alone, pixel for pixel")
        display.key("Escape")
        code_out, _ = run.finish()
        assert code_out == 1


def match_by_hand(display: Display, done: Callable[[], bool]) -> None:
    """Turn each trial's correction until it has gone, as it is seen on the server's own pixels."""
    display.key("space")
    for _ in range(11):
        told = wait_until(display, lambda p: done() or _corrected(p), "a trial's correction")
        if done():
            return
        c = _found(told)
        steps = max(1, round(abs(c) / 0.002))
        # A hand is slower than this; presses a millisecond apart would pass for one key held.
        display._xdotool("key", "--delay", "25", *(["Up" if c < 0 else "Down"] * steps))
        time.sleep(0.2)
        display.key("Return")
        wait_until(display, lambda p: not _corrected(p), "the end of the trial")
        display.key("space")
        time.sleep(0.1)
        display.key("space")


@pytest.mark.slow
def test_two_marks_and_one_match_with_keys_alone(display: Display, folder: Path, tmp_path: Path) -> None:
    sequence = tmp_path / "flat.toml"
    sequence.write_text(FLAT, encoding="utf-8")
    with program(display, *look(folder, "--sequence", str(sequence), "--edge", "0", "--settings", "6")) as run:
        start(run, display)
        marks, matches = (checkpoint_of(folder) / f"{name}.csv" for name in ("marks", "matches"))
        for number, more in enumerate((("Left", "Left"), ("Right", "Down"))):
            for key in ("m", *more, "Return", "Return", "2"):
                display.key(key)
                time.sleep(0.3)
            wait_until(display, lambda _, n=number: marks.exists() and len(store.read(marks, Mark)) > n, "the mark")
            picture(display, f"mark-{number + 1}")
        for key in ("n", "1", "1"):  # the zone, by adjustment
            display.key(key)
            time.sleep(0.4)
        picture(display, "match")
        match_by_hand(display, lambda: matches.exists() and bool(store.read(matches, MatchResult)))
        wait_until(display, lambda _: matches.exists() and bool(store.read(matches, MatchResult)), "the match")
        time.sleep(0.5)
        picture(display, "after-the-match")
        display.key("q")
        assert run.finish() == (0, "")
        told = " ".join(run.drain())
    assert "2 marks this time, 2 in all, 1 matches" in told
    (row,) = store.read(matches, MatchResult)
    assert (row.zone, row.method) == ("clock-badge", "adjustment")
    assert row.contrast_percent == pytest.approx(0.0, abs=0.15)
    assert (checkpoint_of(folder) / "by-eye-map.png").stat().st_size > 10_000


def picture(display: Display, name: str) -> None:
    """Keep what is on the screen, where pictures are wanted."""
    if folder := os.environ.get("PANELWEAR_PICTURES"):
        display.save(Path(folder) / f"by-eye-{name}.png")


@pytest.mark.slow
def test_a_zone_is_matched_by_real_keys_and_the_server_holds_the_correction(display: Display, folder: Path) -> None:
    with program(display, *look(folder, "--match", "clock-badge", "--edge", "0", "--settings", "6")) as run:
        start(run, display)
        match_by_hand(display, lambda: run.process.poll() is not None)
        code, errors = run.finish()
        assert (code, errors) == (0, "")
        told_lines = run.drain()
    (row,) = store.read(checkpoint_of(folder) / "matches.csv", MatchResult)
    # The screen of the test has no wear, and the hand takes the nearest step of 0.2 %.
    assert row.contrast_percent == pytest.approx(0.0, abs=0.15)
    assert row.low_percent is not None
    assert row.high_percent is not None
    assert row.low_percent <= 0 <= row.high_percent
    assert any(re.match(r"clock-badge, grey 54\.9 cd/m²: [+-]0\.\d\d %", line) for line in told_lines)


FIELD_128 = raster(build("field", *SIZE, codes=(128.0,) * 3))


def _corrected(picture: Picture) -> bool:
    """A correction, and neither a card nor an outline: pixels one to four codes away, in a full rectangle's worth."""
    away = (picture != FIELD_128).any(axis=2)
    if not 0 < away.sum() <= 2 * BADGE.rect.area:
        return False
    values = picture[away].astype(int)
    grey = (values == values[:, :1]).all()
    return bool(grey and np.abs(values - 128).max() <= 4 and away.sum() > 1000)


def _found(picture: Picture) -> float:
    """The correction as light, at the judged place: in a sham trial that is not the badge's, which is matched then."""
    away = (picture != FIELD_128).any(axis=2)
    elsewhere = away.copy()
    badge = BADGE.rect
    elsewhere[badge.y : badge.bottom, badge.x : badge.right] = False
    there = np.argwhere(elsewhere if elsewhere.sum() > 500 else away)
    (top, left), (bottom, right) = there.min(axis=0), there.max(axis=0) + 1
    part = luminance(picture[top:bottom, left:right])
    return float(part.mean() / luminance(FIELD_128[:1, :1])[0, 0] - 1)


@pytest.mark.slow
def test_the_correction_is_what_the_pure_function_says(display: Display, folder: Path) -> None:
    from panelwear.byeye.matching import Matching, MatchPlan

    response = assumed_response(load_panel(folder).assumed_response).curve("grey").luminance
    start_c = Matching(MatchPlan(), 6).trial.start
    field = build("field", *SIZE, codes=(128.0,) * 3)
    wanted = raster(correction_frame(field, BADGE.rect, start_c, 8, response))
    with program(display, *look(folder, "--match", "clock-badge", "--at", "grey:128", "--edge", "8")) as run:
        start(run, display)
        display.key("space")
        # Pixel for pixel, but only once the card before it has faded away: its last shades look like a correction.
        shown = wait_until(display, lambda p: different_pixels(p, wanted) == 0, "the first trial's correction, exactly")
        display.key("Escape")
        assert run.finish()[0] == 1
    badge = BADGE.rect
    inside = luminance(shown[badge.y + 8 : badge.bottom - 8, badge.x + 8 : badge.right - 8]).mean()
    assert inside / luminance(FIELD_128[:1, :1])[0, 0] - 1 == pytest.approx(start_c, abs=0.0005)


@pytest.mark.slow
def test_no_keys_however_fast_make_a_flash(display: Display, folder: Path) -> None:
    """Fields of 10 and about 145 cd/m² in turn, as fast as keys go: big changes start half a second apart."""
    with program(display, *look(folder)) as run:
        start(run, display)
        for _ in range(5):
            display.key("Right")
            run.wait_for("SHOWN field")
        display._xdotool("key", "--delay", "25", *["Prior"] * 12)
        wait_until(display, lambda p: luminance(p).mean() > 120, "a bright field")
        display.key("Left")
        wait_until(display, lambda p: luminance(p).mean() < 45, "the dark field beside it")
        since_s = time.monotonic()
        for _ in range(5):
            display._xdotool("key", "--delay", "25", *["Right", "Left"] * 32)
        display.key("Right")
        wait_until(display, lambda p: luminance(p).mean() > 120, "the bright field again")
        display.key("Escape")
        assert run.finish()[0] == 1
        run.drain()
    times = run.shown_at_s(since_s)
    assert len(times) >= 8, "the two fields were really seen in turn"
    # Each change fades for 0.3 s at least, and they begin half a second apart; a busy machine only stretches that.
    assert all(later - sooner >= 0.3 for sooner, later in pairwise(times))
    assert times[-1] - times[0] >= 0.5 * (len(times) - 1) - 0.2


@pytest.mark.slow
def test_what_makes_no_sense_is_said_in_one_sentence(
    display: Display, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with program(display, "look", str(folder), "--yes") as run:
        code, errors = run.finish()
    assert code == 2
    assert "say the panel's hours of use with --hours H" in errors
    for words, told in (
        (("--settings", "7"), "--settings 7: an even number from 6 to 40"),
        (("--at", "mauve:3"), "--at mauve:3: write it as HUE:CODE"),
        (("--adapt", "500"), "--adapt 500: minutes lie within 0..120"),
        (("--recheck", "--method", "detection"), "--recheck matches by adjustment"),
    ):
        assert main([*look(folder), *words]) == 2
        assert told in capsys.readouterr().err
    with program(display, *look(folder, "--match", "clock-bage")) as run:
        code, errors = run.finish()
    assert code == 2
    assert "there is no zone or mark 'clock-bage'; there are clock-badge" in errors


def _mark_one(run: Program, display: Display, folder: Path, head: int = 0) -> None:
    start(run, display)
    press_and_see(display, "m", "Return", "Return", head=head)
    display.key("Return")
    marks = checkpoint_of(folder) / "marks.csv"
    wait_until(display, lambda _: marks.exists(), "marks.csv, at once")


def test_a_monitor_that_is_unplugged_costs_a_sentence_and_no_mark(folder: Path) -> None:
    with xvfb(*SIZE) as display, program(display, *look(folder)) as run:
        _mark_one(run, display, folder)
        display.process.kill()
        code, errors = run.finish()
    assert code == 3
    assert "what was read is kept" in errors
    assert "Traceback" not in errors
    assert len(store.read(checkpoint_of(folder) / "marks.csv", Mark)) == 1
    assert (checkpoint_of(folder) / "by-eye-map.png").exists()


@pytest.mark.slow
@pytest.mark.parametrize(("number", "code"), [(signal.SIGINT, 1), (signal.SIGTERM, 1), (signal.SIGKILL, -9)])
def test_a_session_that_is_killed_keeps_its_marks_and_lets_the_folder_go(
    display: Display, folder: Path, number: int, code: int
) -> None:
    with program(display, *look(folder)) as run:
        _mark_one(run, display, folder)
        run.process.send_signal(number)
        assert run.finish()[0] == code
    with program(display, *look(folder)) as run:
        _mark_one(run, display, folder)
        display.key("Escape")
        assert run.finish()[0] == 1
    assert [m.mark for m in store.read(checkpoint_of(folder) / "marks.csv", Mark)] == [1, 2]


@pytest.mark.slow
def test_a_monitor_switched_off_under_the_walk_costs_no_mark_and_no_map(tmp_path: Path) -> None:
    folder = tmp_path / "harbour-desk"
    new_panel(folder, PanelSpec("harbour-desk", 2560, 1440, (598.0, 336.0), peak_cd_m2=PEAK_CD_M2))
    with two_heads() as display, program(display, *look(folder, "--screen", "1")) as run:
        _mark_one(run, display, folder, head=1)
        subprocess.run(["xrandr", "--output", "DUMMY1", "--off"], env=display.environment(), check=True)
        time.sleep(1.0)
        display.key("Right")
        time.sleep(1.0)
        display.key("Escape")
        # The driver may end the program when it gives a monitor back that is gone; everything is stored by then.
        assert run.finish()[0] != 0
    assert len(store.read(checkpoint_of(folder) / "marks.csv", Mark)) == 1
    assert (checkpoint_of(folder) / "by-eye-map.png").exists()
