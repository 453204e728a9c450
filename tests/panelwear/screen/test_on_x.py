"""On a real X server: every pixel of every pattern, repainting, keys, refusals, a server that dies."""

from __future__ import annotations

import hashlib
import json
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np
import pytest

import patterns
from panelwear.screen.light import LINEAR, LUMINANCE_SHARES
from patterns.frame import Picture
from tests.panelwear.screen.play import build
from tests.screens import (
    Display,
    Program,
    different_in_the_end,
    different_pixels,
    need,
    other_window,
    program,
    two_heads,
    window_manager,
    xvfb,
)

pytestmark = pytest.mark.screen
PLAY = "tests.panelwear.screen.play"
SIZES = ((1920, 1080), (3840, 2160), (1366, 768))


@contextmanager
def playing(display: Display, head: int = 0, *words: str) -> Iterator[Program]:
    with program(display, str(head), *words, module=PLAY) as run:
        run.wait_for("OPEN")
        yield run


def order(run: Program, wait: str = "DIGEST", **what: Any) -> str:
    run.answer(json.dumps(what))
    return run.wait_for(wait)


def every_pattern(width: int, height: int) -> list[dict[str, Any]]:
    """One order a pattern of the registry, and some whose colours or sizes take another way to the screen."""
    rect = [width // 7, height // 5, width // 3, height // 3]
    sample = {
        "rect": rect,
        "codes": [40, 90, 30],
        "point": [width // 3, height // 4],
        "integer": 5,
        "number": 0.4,
        "text": "harbour-desk",
        "integers": [10, 20, 30],
        "flag": True,
    }
    orders = []
    for name in patterns.names():
        required = [parameter for parameter in patterns.entry(name).parameters if parameter.required]
        given = {p.name: p.choices[0] if p.kind == "choice" else sample[p.kind] for p in required}
        if name == "title-card":
            given |= {"panel": "harbour-desk", "hours": "1460"}  # invented
        orders.append({"pattern": name, "parameters": given})
    return [
        *orders,
        {"pattern": "field", "codes": [128.4375, 20.25, 255]},
        {"pattern": "window", "codes": [200, 100, 50], "background": [16, 32, 64]},
        {"pattern": "window", "codes": [131.5, 131.5, 131.5], "background": [40, 40, 40]},
        {"pattern": "field", "codes": [1, 2, 3]},
    ]


def show_and_compare(display: Display, run: Program, orders: list[dict[str, Any]], head: int = 0) -> None:
    width, height = display.heads[head][2:]
    for one in orders:
        digest = order(run, **one).split()[1]
        wanted = patterns.raster(build(one, width, height))
        assert different_pixels(display.grab(head), wanted) == 0, one
        assert digest == hashlib.sha256(wanted.tobytes()).hexdigest(), one


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_every_pixel_of_every_pattern_arrives(size: tuple[int, int]) -> None:
    with xvfb(*size) as display, playing(display) as run:
        show_and_compare(display, run, every_pattern(*size))


@pytest.mark.slow
@pytest.mark.parametrize("head", [0, 1])
def test_every_pixel_arrives_on_either_of_two_monitors(head: int) -> None:
    with two_heads() as display:
        before = display.grab(1 - head)
        with playing(display, head) as run:
            assert json.loads(run.lines[-1].split(" ", 1)[1])[:2] == list(display.heads[head][2:])
            show_and_compare(display, run, every_pattern(*display.heads[head][2:]), head)
            assert different_pixels(display.grab(1 - head), before) == 0


def test_pixels_worked_out_by_hand_arrive() -> None:
    with xvfb(640, 360) as display, playing(display) as run:
        order(run, pattern="zone", parameters={"rect": [100, 50, 20, 10]}, codes=[200, 0, 7], background=[9, 9, 9])
        found = display.grab()
    wanted = np.full((360, 640, 3), 9, np.uint8)
    wanted[50:60, 100:120] = (200, 0, 7)
    assert different_pixels(found, wanted) == 0


def test_a_borderless_window_is_exact_too() -> None:
    with xvfb(800, 450) as display, playing(display, 0, "borderless") as run:
        show_and_compare(display, run, [{"pattern": "pixel-checker"}])


def test_what_another_window_covered_comes_back() -> None:
    with xvfb(640, 360) as display, playing(display) as run:
        one = {"pattern": "pixel-checker"}
        order(run, **one)
        wanted = patterns.raster(build(one, 640, 360))
        assert different_pixels(display.grab(), wanted) == 0
        with other_window(display, 200, 100, seconds=0.8):
            assert different_pixels(display.grab(), wanted) > 10_000
        run.wait_for("EVENT expose")
        time.sleep(0.2)
        assert different_pixels(display.grab(), wanted) == 0


@pytest.mark.slow
def test_a_click_on_the_other_monitor_is_told_and_leaves_the_pattern_up() -> None:
    need("openbox", "xprop")
    with two_heads() as display, window_manager(display), playing(display, 1) as run:
        order(run, pattern="pixel-checker")
        wanted = patterns.raster(patterns.build("pixel-checker", 2560, 1440))
        assert different_pixels(display.grab(1), wanted) == 0
        with other_window(display, 300, 200, seconds=1.5, head=0):
            display.click(960, 540)
            run.wait_for("EVENT focus-lost")
            assert different_pixels(display.grab(1), wanted) == 0
        run.wait_for("EVENT focus-gained")
        assert different_pixels(display.grab(1), wanted) == 0
        assert not [line for line in run.lines if "hidden" in line]


@pytest.mark.slow
def test_a_minimised_window_is_told_from_one_that_only_lost_the_focus() -> None:
    need("openbox", "xprop")
    with two_heads() as display, window_manager(display), playing(display, 1) as run:
        order(run, pattern="pixel-checker")
        with other_window(display, 300, 200, seconds=1.0, head=0):
            display.click(960, 540)
            run.wait_for("EVENT focus-lost")
            assert order(run, "VISIBLE", visible=True) == "VISIBLE True"
        run.wait_for("EVENT focus-gained")
        with display.minimised():
            run.wait_for("EVENT hidden")
            assert order(run, "VISIBLE", visible=True) == "VISIBLE False"
        run.wait_for("EVENT expose")
        assert order(run, "VISIBLE", visible=True) == "VISIBLE True"
        wanted = patterns.raster(patterns.build("pixel-checker", 2560, 1440))
        order(run, pattern="pixel-checker")
        assert different_pixels(display.grab(1), wanted) == 0


def test_keys_words_and_clicks_come_as_our_events() -> None:
    with xvfb(640, 360) as display, playing(display) as run:
        order(run, pattern="field", codes=[20, 20, 20])
        display.key("Right", "shift+Up", "Return", "F1")
        for key in ("right", "up", "return", "f1"):
            assert run.wait_for("EVENT key").split()[2] == key
        display.type_text("Y,5+")
        typed = [run.wait_for("EVENT text").split()[2] for _ in range(4)]
        assert typed == ["Y", ",", "5", "+"]
        display.click(321, 123)
        assert run.wait_for("EVENT pointer-down").split()[-1] == "321,123"
        display.key("Escape")
        assert run.wait_for("EVENT key").split()[2] == "escape"


def luminance(picture: Picture, peak: float = 300.0) -> np.ndarray:
    return np.asarray(LINEAR[picture] @ LUMINANCE_SHARES * peak)


@pytest.mark.parametrize("code", [0, 6, 20, 40, 128, 255])
def test_a_card_is_never_brighter_than_the_field_or_one_candela(code: int) -> None:
    with xvfb(960, 540) as display, playing(display) as run:
        order(run, pattern="field", codes=[code] * 3)
        field = display.grab()
        card = {"lines": ["step 12 of 96", "last 182.4 cd/m²"], "title": "Is the room dark?", "entry": "0.4"}
        order(run, "CARD", card={**card, "share_done": 0.4})
        found = display.grab()
        changed = (found != field).any(axis=2)
        behind = float(luminance(field).mean())
        assert luminance(found).max() <= max(1.0, behind) + 1e-3
        assert changed.sum() > 500
        inside = luminance(found)[changed]
        assert inside.max() > 3 * max(inside.min(), 0.05) or code == 255 or inside.max() > 0.5
        order(run, "OUTLINES", outlines=[[100, 100, 200, 90], [700, 30, 400, 40]])
        marked = display.grab()
        assert luminance(marked).max() <= max(1.0, behind) + 1e-3
        assert 500 < (marked != field).any(axis=2).sum() < 2000
        order(run, "CARD", card=None)
        assert different_pixels(display.grab(), field) == 0


def test_without_a_display_it_ends_with_exit_code_3_and_a_sentence() -> None:
    for extra in ({}, {"DISPLAY": ":7531"}, {"DISPLAY": ":1", "SDL_VIDEODRIVER": "dummy"}):
        with program(None, "show", "field", "--yes", extra=extra) as run:
            code, errors = run.finish()
        assert code == 3
        assert errors.startswith("panelwear show: ")
        assert errors.count("\n") == 1
        assert "rehearse" in errors


def test_a_monitor_that_is_not_there_is_refused() -> None:
    with xvfb(640, 360) as display, program(display, "show", "field", "--screen", "3", "--yes") as run:
        code, errors = run.finish()
    assert code == 3
    assert "there is no screen 3; there is only number 0" in errors


def test_a_server_that_dies_ends_in_one_sentence() -> None:
    with xvfb(640, 360) as display, program(display, "show", "field", "--code", "30", "--yes") as run:
        run.wait_shown("field")
        display.process.kill()
        code, errors = run.finish(timeout_s=20)
    assert code == 3
    assert "the display server went away" in errors
    assert "Traceback" not in errors


def test_escape_is_obeyed_in_the_middle_of_a_fade() -> None:
    with xvfb(640, 360) as display, playing(display) as run:
        order(run, pattern="field", codes=[0, 0, 0])
        order(run, "GOT", pattern="field", codes=[255, 255, 255], fade_s=50)
        display.key("Escape")
        code, errors = run.finish()
        assert code == 1
        assert "stopped" in errors
        run.drain()
        assert len(run.shown_at_s()) == 1, "the fade did not come to its end"


def test_harmful_variables_are_dropped() -> None:
    harmful = {"PYGAME_FORCE_SCALE": "default", "PYGAME_DISPLAY": "5", "SDL_VIDEO_CENTERED": "1"}
    with (
        xvfb(640, 360) as display,
        program(display, "show", "pixel-checker", "--yes", extra={"DISPLAY": display.name, **harmful}) as run,
    ):
        run.wait_shown("pixel-checker")
        wanted = patterns.raster(patterns.build("pixel-checker", 640, 360))
        assert different_in_the_end(display, wanted) == 0  # once the line that tells the level has gone
        display.key("Escape")
        assert run.finish()[0] == 0
