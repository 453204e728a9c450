"""What is known against a frame: on a real X server its own pixels and windows, elsewhere the focus."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from panelwear.screen.contract import ScreenEvent
from panelwear.screen.watch import Watch, XWatch, watch_of
from panelwear.screen.xconnection import XConnection, XUnavailableError
from panelwear.screen.xoutput import OutputState
from panelwear.screen.xwindows import GONE, WindowsAbove, meet, printable
from patterns.frame import Rect
from tests.popups import NAME, PopUps
from tests.screens import Display, xvfb

SIZE = (640, 360)
AROUND = Rect(300, 160, 40, 40)


@pytest.fixture(params=[(), ("-extension", "MIT-SHM")], ids=["shared", "sent"])
def display(request: pytest.FixtureRequest) -> Iterator[Display]:
    """Two servers: one that shares memory for its pixels, and one that sends them."""
    with xvfb(*SIZE, *request.param) as made:
        yield made


def grey(code: int) -> np.ndarray:
    return np.full((SIZE[1], SIZE[0]), code << 16 | code << 8 | code, np.uint32)


@pytest.fixture
def ours(display: Display) -> Iterator[tuple[XWatch, PopUps]]:
    """A watch over a window of ours of code 90, and somebody to disturb it."""
    us, them = PopUps(display.name), PopUps(display.name)
    window = us.up((0, 0, *SIZE), 90, managed=False)
    watch = XWatch(XConnection(display.name), window)
    yield watch, them
    watch.close()
    them.x.close()
    us.x.close()


@pytest.mark.screen
def test_a_frame_that_stands_is_proved_and_another_is_not(ours: tuple[XWatch, PopUps]) -> None:
    watch, _ = ours
    assert watch.prove(grey(90), AROUND) is not None
    proof, other = watch.prove(grey(90), AROUND), watch.prove(grey(91), AROUND)
    assert proof is not None and proof.holds and proof.compared
    assert other is not None and not other.holds


@pytest.mark.screen
def test_a_window_of_one_code_more_over_the_probe_is_found_and_named(ours: tuple[XWatch, PopUps]) -> None:
    watch, them = ours
    window = them.up((335, 195, 30, 30), 91, managed=False)  # a corner of the aperture
    proof = watch.prove(grey(90), AROUND)
    assert proof is not None and not proof.holds
    assert f"the window '{NAME}' lies over the pattern" in proof.why
    them.down(window)
    assert [event.text for event in watch.events(1.0)] == [GONE]


@pytest.mark.screen
def test_a_window_far_from_the_probe_is_found_too(ours: tuple[XWatch, PopUps]) -> None:
    watch, them = ours
    them.up((0, 0, 200, SIZE[1] // 8 + 1), 200, managed=False)
    assert all((proof := watch.prove(grey(90), AROUND)) is not None and not proof.holds for _ in range(20))


@pytest.mark.screen
def test_every_pop_up_is_heard_however_short(ours: tuple[XWatch, PopUps]) -> None:
    watch, them = ours
    for _ in range(7):
        them.down(them.up((10, 10, 300, 200), 118, managed=False))
    found = watch.events(5.0)
    assert {event.kind for event in found} == {"covered"}
    assert all(event.disturbs and event.at_s == 5.0 for event in found)
    assert len(found) == 7
    assert watch.events(6.0) == []


@pytest.mark.screen
def test_windows_beside_ours_and_under_it_disturb_nothing(display: Display) -> None:
    us, them = PopUps(display.name), PopUps(display.name)
    under = them.up((0, 0, 640, 360), 118, managed=False)
    window = us.up((0, 0, 320, 360), 90, managed=False)
    above = WindowsAbove(XConnection(display.name), window)
    them.up((400, 0, 100, 100), 118, managed=False)
    them.x.tell(12, under.to_bytes(4, "little") + bytes([4, 0, 0, 0]) + (300).to_bytes(4, "little"))  # its width
    them.x.ask(14, under.to_bytes(4, "little"))

    assert above.heard(above._x.events(), (0, 0, 320, 360)) == []


@pytest.mark.screen
def test_a_server_that_hands_out_black_for_everything_is_not_believed(display: Display) -> None:
    us = PopUps(display.name)
    watch = XWatch(XConnection(display.name), us.up((0, 0, *SIZE), 0, managed=False))
    assert watch.prove(grey(90), AROUND) is None

    both = Watch(watch)
    assert both.prove(grey(90), AROUND).holds
    assert "no pixels" in both.unasked


@pytest.mark.screen
def test_a_server_that_is_gone_ends_the_watch_and_nothing_else(display: Display) -> None:
    us = PopUps(display.name)
    watch = Watch(XWatch(XConnection(display.name), us.up((0, 0, *SIZE), 90, managed=False)))
    display.process.kill()
    display.process.wait()

    assert watch.take((), 1.0) == []
    proof = watch.prove(grey(90), AROUND)
    assert not proof.compared
    assert "X server" in proof.unasked


def test_where_there_is_no_server_the_reason_is_said() -> None:
    with pytest.raises(XUnavailableError, match="does not answer"):
        XConnection(":4711")


def test_a_lost_focus_is_remembered_until_it_is_back() -> None:
    watch = Watch(unasked="no X server")
    assert watch.prove(grey(90), AROUND).holds
    watch.take([ScreenEvent("focus-lost", 1.0)], 1.0)
    watch.take([ScreenEvent("expose", 2.0)], 2.0)
    proof = watch.prove(grey(90), AROUND)
    assert not proof.holds and not proof.compared
    assert "click on the pattern" in proof.why
    watch.take([ScreenEvent("focus-gained", 3.0)], 3.0)
    assert watch.prove(grey(90), AROUND).holds


class OtherSystem:
    """The drawing library where the display server does not tell what it shows."""

    def __init__(self, driver: str, focused: bool) -> None:
        self.display = SimpleNamespace(get_driver=lambda: driver)
        self.key = SimpleNamespace(get_focused=lambda: focused)


@pytest.mark.parametrize("driver", ["wayland", "windows", "cocoa"])
def test_where_the_server_does_not_tell_a_focus_counts_from_the_beginning_and_the_reason_is_said(driver: str) -> None:
    watch = watch_of(OtherSystem(driver, focused=True))
    proof = watch.prove(grey(90), AROUND)
    assert (proof.holds, proof.compared) == (True, False)
    assert proof.unasked == watch.unasked == f"the display driver '{driver}' does not tell what it shows"

    watch = watch_of(OtherSystem(driver, focused=False))
    assert not watch.prove(grey(90), AROUND).holds
    watch.take([ScreenEvent("expose", 1.0)], 1.0)
    assert not watch.prove(grey(90), AROUND).holds
    watch.take([ScreenEvent("focus-gained", 2.0)], 2.0)
    assert watch.prove(grey(90), AROUND).holds


LINE = np.tile(np.arange(256, dtype=np.uint16) * 257, 3).tobytes()
THEN = OutputState(59, (0, 0, 640, 360), 58, 1, "aa", LINE)


@pytest.mark.parametrize(
    ("now", "words"),
    [
        (THEN, ""),
        (replace(THEN, colour_table=bytes(len(LINE))), ""),
        (replace(THEN, colour_table=(np.frombuffer(LINE, np.uint16) // 4 * 4).tobytes()), ""),
        (replace(THEN, colour_table=b""), "colour table"),
        (replace(THEN, mode=0), "unplugged or switched off"),
        (replace(THEN, box=(0, 0, 0, 0)), "unplugged or switched off"),
        (replace(THEN, monitor_sha256="cc"), "another monitor"),
        (replace(THEN, monitor_sha256=""), "unplugged"),
        (replace(THEN, mode=60), "mode or position"),
        (replace(THEN, box=(0, 0, 320, 180)), "640 x 360 pixels at 0,0 became 320 x 180"),
        (replace(THEN, rotation=2), "mode or position"),
        (replace(THEN, colour_table=np.frombuffer(LINE, np.uint16)[::-1].tobytes()), "colour table"),
    ],
)
def test_what_is_not_as_it_was_is_said(now: OutputState, words: str) -> None:
    assert (words in now.differs(THEN)) if words else now.differs(THEN) == ""


def test_boxes_meet_where_they_share_more_than_a_line() -> None:
    assert meet((0, 0, 10, 10), (8, 8, 10, 10))
    assert not meet((0, 0, 10, 10), (9, 0, 10, 10))
    assert not meet((0, 0, 1, 1), (0, 0, 640, 360))


def test_a_windows_name_can_carry_nothing_to_the_terminal() -> None:
    assert printable("a\x1b[31m b\n\x00c\u202e" + "x" * 100) == json.loads('"a [31m b c "') + "x" * 49
