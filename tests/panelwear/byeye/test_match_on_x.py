"""Matching a zone on a real X screen, by real keys; the correction is taken from the server's pixels."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from panelwear.byeye.zone_correction import correction_frame
from panelwear.folder.panel import load_panel
from panelwear.panel.assumed import assumed_response
from panelwear.readings import store
from panelwear.readings.marks import Mark
from panelwear.readings.matches import MatchResult
from patterns import build
from patterns.frame import Picture
from patterns.raster import raster
from tests.journeys import Journey
from tests.panelwear.byeye.on_x import (
    BADGE,
    SIZE,
    checkpoint_of,
    look,
    luminance,
    start,
    wait_until,
)
from tests.screens import Display, different_pixels, program

pytestmark = pytest.mark.screen
FLAT = """
name = "flat"
description = "One grey, whose level a match is made on."
[[steps]]
kind = "hold"
  [[steps.patches]]
  group = "field"
  codes = [128]
"""


def match_by_hand(display: Display, done: Callable[[], bool], seen: Callable[[], None] = lambda: None) -> None:
    """Turn each trial's correction until it has gone, as it is seen on the server's own pixels.

    ``seen`` is called while the first trial's correction is on.
    """
    wait_until(display, _explains, "how to match")
    display.key("space")
    for number in range(11):
        told = wait_until(display, lambda p: done() or _corrected(p), "a trial's correction")
        if done():
            return
        if number == 0:
            seen()
        c = _found(told)
        steps = max(1, round(abs(c) / 0.002))
        # A hand is slower than this; presses a millisecond apart would pass for one key held.
        display._xdotool("key", "--delay", "25", *(["Up" if c < 0 else "Down"] * steps))
        time.sleep(0.2)
        display.key("Return")
        # The next trial's card and its place go by themselves: a key pressed meanwhile may reach the trial, on a busy
        # machine, and be answered with a card over the correction.
        wait_until(display, lambda p: not _corrected(p), "the end of the trial")


@pytest.mark.slow
def test_two_marks_and_one_match_with_keys_alone(display: Display, folder: Path, tmp_path: Path) -> None:
    sequence = tmp_path / "flat.toml"
    sequence.write_text(FLAT, encoding="utf-8")
    with program(display, *look(folder, "--sequence", str(sequence), "--edge", "0", "--settings", "6")) as run:
        journey = Journey("by-eye", display)
        start(run, display)
        journey.step("field")
        marks, matches = (checkpoint_of(folder) / f"{name}.csv" for name in ("marks", "matches"))
        for number, more in enumerate((("Left", "Left"), ("Right", "Down"))):
            for key in ("m", *more, "Return", "Return", "2"):
                display.key(key)
                time.sleep(0.3)
                if number == 0 and key == "Return" and journey.kept[-1] != "what-it-is":
                    journey.step("what-it-is")
            wait_until(display, lambda _, n=number: marks.exists() and len(store.read(marks, Mark)) > n, "the mark")
            journey.step(("mark", "second-mark")[number])
        for key in ("n", "1", "1"):  # the zone, by adjustment
            display.key(key)
            time.sleep(0.4)
        journey.step("how-to-match")
        match_by_hand(
            display,
            lambda: matches.exists() and bool(store.read(matches, MatchResult)),
            lambda: journey.step("trial"),
        )
        wait_until(display, lambda _: matches.exists() and bool(store.read(matches, MatchResult)), "the match")
        time.sleep(0.5)
        journey.step("matched")
        journey.ended()
        display.key("q")
        assert run.finish() == (0, "")
        told = " ".join(run.drain())
    assert re.search(r"2 marks this time, 2 in all, 1 match\b", told)
    (row,) = store.read(matches, MatchResult)
    assert (row.zone, row.method) == ("clock-badge", "adjustment")
    assert row.contrast_percent == pytest.approx(0.0, abs=0.15)
    assert (checkpoint_of(folder) / "by-eye-map.png").stat().st_size > 10_000


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
    assert any(
        re.match(r"clock-badge, grey 54\.9 cd/m²: (\+0\.\d\d|\u22120\.\d\d|0\.00) %", line) for line in told_lines
    )


FIELD_128 = raster(build("field", *SIZE, codes=(128.0,) * 3))


def _explains(picture: Picture) -> bool:
    """The card that says how to match: the only one that is so large."""
    return bool((picture != FIELD_128).any(axis=2).sum() > 200_000)


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
