"""Holding a pattern and stepping its level."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

import patterns
from groundwork.clock import VirtualClock
from panelwear.errors import Stopped
from panelwear.screen.caution import is_bright, is_patterned, needs_caution
from panelwear.screen.contract import ScreenEvent
from panelwear.screen.fake import FakeScreen
from panelwear.screen.hold import NOTE_S, Held, hold, label, stepped, wished

W, H = 320, 180


def make() -> tuple[FakeScreen, VirtualClock, list[str]]:
    clock = VirtualClock(datetime(2026, 2, 3, tzinfo=UTC))
    return FakeScreen(W, H, clock), clock, []


def held(*codes: float, seconds: float | None = 2.0, adjustable: bool = True) -> Held:
    rgb = (codes[0], codes[1], codes[2]) if len(codes) == 3 else (codes[0],) * 3
    return Held("field", lambda c: patterns.build("field", W, H, codes=c), rgb, seconds, adjustable)


def test_keys_pressed_together_make_one_wish_and_one_frame() -> None:
    screen, clock, said = make()
    screen.press("up", "up", "right", after_s=0.5)
    screen.press("down", after_s=0.5, shift=True)
    assert hold(screen, clock, held(100), said.append) == (94.0,) * 3
    assert len(screen.note.shown) == 2
    assert said == ["field: drive level 100", "field: drive level 94"]


def test_shift_left_goes_down_by_an_eighth_of_a_code() -> None:
    key = ScreenEvent("key", 0.0, key="left", shift=True)
    assert wished((128.0,) * 3, (128.0,) * 3, (key,)) == (127.875,) * 3


def test_dark_channels_of_a_hue_stay_dark() -> None:
    assert stepped((200.0, 0.0, 0.0), (200.0, 0.0, 0.0), 8) == (208.0, 0.0, 0.0)
    assert stepped((250.0, 250.0, 0.0), (200.0, 200.0, 0.0), 16) == (255.0, 255.0, 0.0)
    assert stepped((0.0,) * 3, (0.0,) * 3, 1) == (1.0,) * 3


def test_nought_goes_back_to_where_it_began() -> None:
    keys = tuple(ScreenEvent("key", 0.0, key=name) for name in ("up", "up", "0"))
    assert wished((100.0,) * 3, (100.0,) * 3, keys) == (100.0,) * 3


def test_help_comes_and_goes_and_keeps_up_with_the_level() -> None:
    screen, clock, said = make()
    screen.press("h", after_s=0.2)
    screen.press("up", after_s=0.6)
    screen.press("h", after_s=1.0)
    hold(screen, clock, held(50), said.append)
    helped = [card for card in screen.note.cards if card is None or not card.one_line]
    first, second, gone = helped
    assert first is not None
    assert second is not None
    assert (first.lines[0], second.lines[0], gone) == ("drive level 50", "drive level 51", None)


def test_a_line_on_the_screen_tells_the_level_with_each_step_and_then_leaves_the_pattern_alone() -> None:
    screen, clock, said = make()
    screen.press("up", after_s=1.0)
    screen.press("right", after_s=1.5)
    hold(screen, clock, held(50, seconds=1.5 + NOTE_S - 0.1), said.append)
    notes = [card.lines[0].split("   ")[0] for card in screen.note.cards if card is not None]
    assert notes == ["field: drive level 50", "field: drive level 51", "field: drive level 59"]
    assert screen.card_now is not None

    screen, clock, said = make()
    hold(screen, clock, held(50, seconds=NOTE_S + 1.0), said.append)
    assert [card is None for card in screen.note.cards] == [False, True]
    assert screen.card_now is None


def test_escape_leaves() -> None:
    screen, clock, said = make()
    screen.press("escape", after_s=0.5)
    with pytest.raises(Stopped):
        hold(screen, clock, held(50, seconds=None), said.append)


def test_a_picture_for_a_camera_does_not_change_and_ends_with_return() -> None:
    screen, clock, said = make()
    screen.press("up", "h", after_s=0.5)
    screen.press("return", after_s=1.0)
    began = clock.monotonic_s()
    assert hold(screen, clock, held(50, seconds=None, adjustable=False), said.append) == (50.0,) * 3
    assert clock.monotonic_s() - began < 1.2
    assert screen.note.cards == []


def test_codes_are_written_as_they_are_typed() -> None:
    assert label((128.0,) * 3) == "128"
    assert label((128.125, 0.0, 0.0)) == "128.125 0 0"


def test_bright_and_patterned_pictures_need_a_caution() -> None:
    def field(code: float) -> patterns.Frame:
        return patterns.build("field", W, H, codes=(code,) * 3)

    checker = patterns.build("pixel-checker", W, H, codes=(80.0,) * 3)
    assert is_bright(field(255), 300)
    assert not needs_caution(field(60), 300)
    assert not is_patterned(field(255))
    assert is_patterned(patterns.build("checkerboard", W, H, columns=16, rows=12))
    assert not is_patterned(patterns.build("checkerboard", W, H, columns=4, rows=4))
    assert not is_bright(checker, 300)
