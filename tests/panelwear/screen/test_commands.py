"""``panelwear screens`` and ``panelwear show`` as a person runs them, on a real X server."""

from __future__ import annotations

import numpy as np
import pytest

import patterns
from panelwear.cli import main
from panelwear.errors import ScreenFault
from panelwear.screen.monitors import Monitor
from tests.screens import different_in_the_end, program, two_heads, xvfb


@pytest.mark.slow
@pytest.mark.screen
def test_screens_lists_both_monitors_and_proves_each() -> None:
    with two_heads() as display:
        with program(display, "screens") as run:
            assert run.finish()[0] == 0
            listed = run.drain()
        # Two lines of heads: names, then units.
        assert "1920 x 1080" in listed[2]
        assert "2560 x 1440" in listed[3]
        assert listed[3].split()[-2:] == ["1920,", "0"]
        for number, pixels in ((0, 1920 * 1080), (1, 2560 * 1440)):
            with program(display, "screens", "--prove", str(number), "--yes") as run:
                code, errors = run.finish()
                said = "\n".join(run.drain())
            assert (code, errors) == (0, "")
            assert f"all {pixels} pixels are exactly as drawn" in said
            assert "night light" in said
            assert "photosensitive" in said


@pytest.mark.slow
@pytest.mark.screen
def test_the_check_page_waits_for_the_person() -> None:
    with xvfb(800, 450) as display, program(display, "screens", "--prove", "0") as run:
        run.wait_for("LISTENS")
        display.key("Return")
        run.wait_shown("geometry")
        run.wait_shown("check-page")
        display.key("space")
        assert run.finish()[0] == 0


@pytest.mark.slow
@pytest.mark.screen
def test_show_waits_at_the_caution_for_screen_or_terminal() -> None:
    with xvfb(800, 450) as display:
        for way in ("screen", "terminal"):
            with program(display, "show", "field", "--code", "255") as run:
                run.wait_for("In a dark room")
                assert display.grab().mean() < 30, "the caution, or nothing yet"
                if way == "screen":
                    run.wait_for("LISTENS")
                    display.key("Return")
                else:
                    run.answer("")
                run.wait_shown("field")
                white = np.full((450, 800, 3), 255, np.uint8)
                assert different_in_the_end(display, white) == 0, "the level's card goes by itself"
                display.key("Escape")
                assert run.finish()[0] == 0


@pytest.mark.slow
@pytest.mark.screen
def test_arrow_keys_step_the_level_and_the_time_ends_it() -> None:
    with xvfb(640, 360) as display:
        words = ("show", "window", "--red", "60", "--background", "8", "--param", "share=0.25", "--seconds", "12")
        with program(display, *words) as run:
            run.wait_shown("window")
            display.key("Up")
            run.wait_for("window: drive level 61 0 0")
            wanted = patterns.raster(
                patterns.build("window", 640, 360, codes=(61, 0, 0), background=(8, 8, 8), share=0.25)
            )
            assert different_in_the_end(display, wanted) == 0  # once the line that tells the level has gone
            display.key("shift+Right")
            run.wait_for("window: drive level 61.125 0 0")
            assert run.finish()[0] == 0


@pytest.mark.screen
def test_keys_mashed_on_the_real_screen_are_slowed() -> None:
    with xvfb(640, 360) as display, program(display, "show", "field", "--code", "128", "--yes") as run:
        run.wait_shown("field")
        for _ in range(4):
            display.key(*["shift+Up"] * 6)
            display.key(*["shift+Down"] * 6)
        display.key("Escape")
        assert run.finish()[0] == 0
        run.drain()
    shown_s = run.shown_at_s()
    assert len(shown_s) - 1 <= 2 * (shown_s[-1] - shown_s[0]) + 2


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["show", "feild"], "did you mean field"),
        (["show", "window", "--param", "shap=1"], "window has no parameter 'shap'"),
        (["show", "field", "--code", "300"], "0..255"),
        (["show", "field", "--code", "1", "--red", "2"], "--code drives all three"),
        (["show", "field", "--background", "1,2"], "red,green,blue"),
        (["show", "window", "--param", "share"], "NAME=VALUE"),
    ],
)
def test_bad_words_get_one_sentence_before_any_screen_opens(
    words: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(words) == 2
    said = capsys.readouterr().err
    assert sentence in said
    assert said.count("\n") == 1


@pytest.mark.parametrize(("size", "fits"), [((3840, 2160), True), ((1280, 720), False)])
def test_a_rectangle_is_checked_against_the_monitor_it_is_for(
    size: tuple[int, int], fits: bool, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("panelwear.screen.monitors.list_monitors", lambda: [Monitor(0, 800, 600), Monitor(1, *size)])
    monkeypatch.setattr("panelwear.screen.window.open_screen", no_screen)
    rect = "rect=3000,1800,600,200"
    assert main(["show", "zone", "--param", rect, "--screen", "1"]) == (3 if fits else 2)
    assert ("no screen in this test" in capsys.readouterr().err) == fits


def no_screen(*_: object, **__: object) -> None:
    raise ScreenFault("no screen in this test")


def test_parameters_are_told_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["show"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    for words in (
        "--param share= share of the screen's area (0.1 is 10 %); a number, greater than 0 and at most 1; 0.1 unless",
        "the rectangle in pixels; x,y,w,h in whole pixels from the top left, w and h at least 1; has to be given",
        "two numbers x,y, at least 0 and at most 1; 0.5,0.5 unless given",
        "in the screen's proportion, or square; screen unless given",
    ):
        assert words in told


def test_show_alone_lists_the_patterns(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["show"]) == 0
    listed = capsys.readouterr().out
    assert all(name in listed for name in patterns.names())
