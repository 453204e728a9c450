"""The stand-in keeps the promises the real screen makes."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime

import numpy as np
import pytest

from groundwork.clock import VirtualClock
from panelwear.errors import ScreenFault, Stopped
from panelwear.screen.contract import Card, Screen, ScreenEvent
from panelwear.screen.fake import CARD_CODE, FakeScreen
from patterns.frame import Fill, Frame, Rect

WIDTH, HEIGHT = 64, 36


def make() -> tuple[FakeScreen, VirtualClock]:
    clock = VirtualClock(datetime(2026, 2, 3, tzinfo=UTC))
    return FakeScreen(WIDTH, HEIGHT, clock), clock


def window(code: int = 200, width: int = WIDTH, height: int = HEIGHT) -> Frame:
    rect = Rect(10, 8, 20, 12)
    return Frame("window", width, height, (16.0, 16.0, 16.0), rect, (Fill(rect, (float(code),) * 3),))


def by_hand(code: int = 200) -> np.ndarray:
    picture = np.full((HEIGHT, WIDTH, 3), 16, np.uint8)
    picture[8:20, 10:30] = code
    return picture


def test_it_is_a_screen() -> None:
    screen: Screen = make()[0]
    assert (screen.facts.width_px, screen.facts.height_px) == (WIDTH, HEIGHT)


def test_it_holds_the_pixels_of_the_frame_shown() -> None:
    screen, _ = make()
    shown = screen.show(window())
    assert np.array_equal(screen.pixels(), by_hand())
    assert shown.frame_sha256 == hashlib.sha256(by_hand().tobytes()).hexdigest()
    assert [s.frame.pattern for s in screen.note.shown] == ["window"]


def test_a_fade_lets_its_time_pass() -> None:
    screen, clock = make()
    before = clock.monotonic_s()
    assert screen.show(window(), fade_s=0.5).at_s == before + 0.5


def test_an_event_arrives_when_it_is_due_and_once() -> None:
    screen, clock = make()
    screen.happen("expose", after_s=2.0)
    screen.press("a")
    assert [(e.kind, e.key, e.text) for e in screen.poll()] == [("key", "a", ""), ("text", "", "a")]
    assert screen.poll() == ()
    clock.sleep(2.0)
    assert [e.kind for e in screen.poll()] == ["expose"]
    assert screen.poll() == ()


def test_escape_during_a_fade_stops_and_goes_black() -> None:
    screen, _ = make()
    screen.show(window(100))
    screen.press("escape", after_s=0.2)
    with pytest.raises(Stopped):
        screen.show(window(), fade_s=0.3)
    assert screen.pixels().max() == 0


def test_typed_words_come_as_keys_and_text() -> None:
    screen, _ = make()
    screen.type_text("A b")
    events = screen.poll()
    assert "".join(e.text for e in events) == "A b"
    assert [e.key for e in events if e.kind == "key"] == ["a", "space", "b"]


def test_a_card_shows_in_the_pixels_until_the_next_frame() -> None:
    screen, _ = make()
    screen.show(window())
    screen.card(Card(("left: 4 min",)))
    assert screen.pixels()[-1, 0, 0] == CARD_CODE
    screen.show(window())
    assert screen.card_now is None
    assert np.array_equal(screen.pixels(), by_hand())
    assert screen.note.cards == [Card(("left: 4 min",))]


def test_outlines_stay_inside_the_screen() -> None:
    screen, _ = make()
    screen.show(window())
    screen.outlines([(-3, -3, 10, 10), (60, 30, 30, 30)])
    changed = (screen.pixels() != by_hand()).any(axis=2)
    assert changed[6, 3]
    assert changed[33, 60]
    assert not changed[25, 25]
    screen.card(None)
    assert np.array_equal(screen.pixels(), by_hand())


def test_a_frame_of_another_size_is_refused() -> None:
    screen, _ = make()
    with pytest.raises(ScreenFault, match=r"64 x 40 pixels, the screen 64 x 36"):
        screen.show(window(height=40))


def test_a_closed_screen_shows_nothing_more() -> None:
    screen, _ = make()
    screen.close()
    screen.close()
    with pytest.raises(ScreenFault, match="closed"):
        screen.show(window())


def test_events_keep_the_order_of_their_times() -> None:
    screen, clock = make()
    now = clock.monotonic_s()
    screen.feed(ScreenEvent("focus-lost", now + 2), ScreenEvent("hidden", now + 1))
    clock.sleep(3)
    assert [e.kind for e in screen.poll()] == ["hidden", "focus-lost"]
