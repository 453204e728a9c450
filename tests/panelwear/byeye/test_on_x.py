"""Whole by-eye sessions on a real X screen, by real keys and pointer; what stands there is taken from the server."""

from __future__ import annotations

import json
import signal
import subprocess
import time
from itertools import pairwise
from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.folder.panel import load_panel
from panelwear.panel.assumed import assumed_response
from panelwear.readings import store
from panelwear.readings.marks import Mark
from panelwear.upkeep.create import PanelSpec, new_panel
from patterns import build
from patterns.frame import Rect
from patterns.raster import raster
from tests.panelwear.byeye.on_x import (
    PEAK_CD_M2,
    SIZE,
    checkpoint_of,
    first_code,
    is_plain,
    look,
    luminance,
    press_and_see,
    start,
    wait_until,
    with_card,
)
from tests.screens import Display, Program, different_pixels, program, two_heads, xvfb

pytestmark = pytest.mark.screen


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
        for page, button in (("Before you go on", "go-on"), ("Before you look", "go")):
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
