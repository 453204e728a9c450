"""Coming and going on a real X server: what was pressed too early, how soon it is dark, what the desktop does then."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest

from groundwork.clock import RealClock
from panelwear.screen.terminal import Terminal
from patterns.frame import Picture
from tests.screens import PATIENCE_S, Display, program, xvfb

pytestmark = pytest.mark.screen
W, H = 480, 270
WHITE = ("show", "field", "--code", "255")


@pytest.fixture(scope="module")
def display() -> Iterator[Display]:
    with xvfb(W, H) as server:
        yield server


def until(display: Display, holds: Callable[[Picture], bool]) -> float:
    """Wait for a picture and return when it was taken."""
    end_s = time.monotonic() + PATIENCE_S
    while time.monotonic() < end_s:
        asked_s = time.monotonic()
        if holds(display.grab()):
            return asked_s
    raise AssertionError("that picture never came")


def dark(picture: Picture) -> bool:
    """Whether nothing but a dim card is on."""
    return bool((picture.mean(axis=2) > 40).mean() < 0.001)


def test_a_return_from_before_the_caution_and_in_its_first_second_passes_nothing(display: Display) -> None:
    with program(display, *WHITE) as run:
        run.wait_for("Bright fields")
        display.key("Return", "space")
        run.wait_cautions()
        display.key("Return")
        run.wait_for("LISTENS")
        display.key("x")  # is in the queue behind the others: were one of them heard, white would be on its way
        time.sleep(0.3)
        assert display.grab().mean() < 30
        display.key("Return")
        run.wait_shown("field")
        until(display, lambda picture: bool((picture == 255).all()))  # once the line that tells the level has gone
        display.key("Escape")
        assert run.finish()[0] == 0


@contextmanager
def on_a_terminal(display: Display, typed: bytes) -> Iterator[tuple[subprocess.Popen[bytes], int]]:
    """Run the command on a terminal of its own, on which something was typed before it began to look."""
    ours, theirs = pty.openpty()
    os.write(ours, typed)
    environment = {**display.environment(), "PANELWEAR_TELL_SHOWN": "1"}
    words = [sys.executable, "-m", "panelwear", *WHITE]
    with subprocess.Popen(words, env=environment, stdin=theirs, stdout=subprocess.PIPE) as process:
        os.close(theirs)
        try:
            yield process, ours
        finally:
            process.kill()
            os.close(ours)


@pytest.mark.slow
def test_a_return_typed_at_the_terminal_before_the_caution_does_not_pass_it(display: Display) -> None:
    with on_a_terminal(display, b"\n\n") as (process, terminal):
        assert process.stdout is not None
        told: list[bytes] = []
        while not told or not told[-1].startswith(b"LISTENS"):
            told.append(process.stdout.readline())
        assert not any(line.startswith(b"SHOWN") for line in told), "the caution and nothing else"
        os.write(terminal, b"\n")
        assert process.stdout.readline().startswith(b"SHOWN field")
        display.key("Escape")
        assert process.wait(timeout=PATIENCE_S) == 0


@pytest.mark.slow
def test_an_escape_typed_at_the_terminal_before_the_window_exists_stops(display: Display) -> None:
    with on_a_terminal(display, b"\x1b") as (process, _):
        assert process.stdout is not None
        out = process.stdout.read()
        assert process.wait(timeout=PATIENCE_S) == 0
        assert out.count(b"PAGE") == 1 and b"SHOWN" not in out, "nothing came after the caution"


TYPED = [(b"abc\n", False), (b"\x1b", True), (b"\x1b[A", False), (b"\x1b\n", True)]


@pytest.mark.parametrize(("typed", "escape"), TYPED)
def test_what_waits_at_a_terminal_is_thrown_away_and_escape_is_told(typed: bytes, escape: bool) -> None:
    ours, theirs = pty.openpty()
    os.write(ours, typed)
    with os.fdopen(theirs, encoding="utf-8") as source:
        terminal = Terminal(source=source, sink=sys.stdout)
        assert terminal.forget_typed() is escape
        assert terminal.poll() is None
        os.write(ours, b"later\n")
        end_s = RealClock().monotonic_s() + 5
        line = None
        while line is None and RealClock().monotonic_s() < end_s:
            line = terminal.poll()
        assert line == "later"
    os.close(ours)


@pytest.mark.parametrize("when", ["at rest", "in a fade"])
def test_escape_makes_it_dark_and_the_desktop_waits_behind_black(display: Display, when: str) -> None:
    subprocess.run(["xsetroot", "-solid", "white"], env=display.environment(), check=False)
    with program(display, *WHITE, "--yes") as run:
        if when == "at rest":
            run.wait_shown("field")
        else:
            until(display, lambda picture: 0 < picture[0, 0, 0] < 255)
        display.key("Escape")
        dark_s = until(display, dark)
        code = run.process.wait(timeout=PATIENCE_S)
        gone_s = time.monotonic()
        assert code == 0
        # Dark and hold are the program's own; a slow machine only adds to what lies between.
        assert gone_s - dark_s >= 1.5


HOLDER = """
import pygame
pygame.display.init()
pygame.display.set_mode((120, 80))
print("UP", flush=True)
while True:
    for event in pygame.event.get():
        if event.type == pygame.KEYDOWN:
            print("KEY", pygame.key.name(event.key), flush=True)
    pygame.time.wait(10)
"""


def test_the_keyboard_goes_back_to_where_it_was_without_a_window_manager(display: Display) -> None:
    environment = {**display.environment(), "PYGAME_HIDE_SUPPORT_PROMPT": "1"}
    words = [sys.executable, "-c", HOLDER]
    with subprocess.Popen(words, env=environment, stdout=subprocess.PIPE, text=True) as other:
        try:
            assert other.stdout is not None
            assert other.stdout.readline() == "UP\n"
            display.key("a")
            assert other.stdout.readline() == "KEY a\n"
            with program(display, *WHITE, "--yes") as run:
                run.wait_shown("field")
                display.key("b", "Escape")
                assert run.finish()[0] == 0
            display.key("c")
            assert other.stdout.readline() == "KEY c\n"
        finally:
            other.kill()
