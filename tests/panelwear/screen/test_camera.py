from __future__ import annotations

from datetime import UTC, datetime

import pytest

from groundwork.clock import VirtualClock
from panelwear.errors import Stopped
from panelwear.screen.camera import TitleCard, for_camera, photo_name
from panelwear.screen.fake import FakeScreen
from panelwear.screen.hold import Held
from patterns import build
from patterns.frame import Codes, Frame

TITLE_CARD = TitleCard("harbour-desk", "1460", "2026-02-03")


def field(codes: Codes) -> Frame:
    return build("field", 320, 200, codes=codes)


def pictures(seconds: float | None = None) -> list[Held]:
    return [Held("field", field, (c, c, c), seconds) for c in (20.0, 128.0)]


def stand() -> tuple[FakeScreen, VirtualClock]:
    clock = VirtualClock(datetime(2026, 2, 3, tzinfo=UTC))
    return FakeScreen(320, 200, clock), clock


def test_the_title_card_comes_first_and_every_picture_stands_alone() -> None:
    screen, clock = stand()
    told: list[str] = []
    cards_during: list[object] = []
    plain_show = screen.show

    def show(frame: Frame, fade_s: float | None = None) -> object:
        shown = plain_show(frame, fade_s)
        cards_during.append(screen.card_now)
        return shown

    screen.show = show  # type: ignore[method-assign,assignment]
    for at_s in range(1, 6):
        screen.press("return", after_s=float(at_s))
    names = for_camera(screen, clock, pictures(), TITLE_CARD, told.append)
    assert names == ("01-field-c20", "02-field-c128")
    frames = [(s.frame.pattern, s.frame.fills[-1].codes[0] if s.frame.fills else None) for s in screen.note.shown]
    assert frames[0][0] == "title-card"
    assert frames[1:] == [("field", 0.0), ("field", 20.0), ("field", 0.0), ("field", 128.0), ("field", 0.0)]
    assert cards_during == [None] * 6
    titles = [card.lines[0] for card in screen.note.cards if card]
    assert titles == ["next photograph: 01-field-c20", "next photograph: 02-field-c128"]
    assert told[1:] == ["photograph: 01-field-c20", "photograph: 02-field-c128"]


def test_keys_change_nothing_while_a_picture_is_held() -> None:
    screen, clock = stand()
    for at_s, key in enumerate(["return", "return", "up", "right", "h", "return", "return", "return"], start=1):
        screen.press(key, after_s=float(at_s))
    for_camera(screen, clock, pictures(), TITLE_CARD, lambda _: None)
    assert {s.frame.fills[-1].codes[0] for s in screen.note.shown[1:]} == {0.0, 20.0, 128.0}


def test_a_picture_can_end_by_its_seconds() -> None:
    screen, clock = stand()
    began_s = clock.monotonic_s()
    for at_s in (1.0, 2.0, 40.0):
        screen.press("return", after_s=at_s)
    for_camera(screen, clock, pictures(seconds=30.0), TITLE_CARD, lambda _: None)
    held = {s.frame.fills[-1].codes[0]: s.at_s - began_s for s in screen.note.shown[1:]}
    assert held[20.0] == pytest.approx(2.0, abs=0.1)
    assert clock.monotonic_s() - began_s == pytest.approx(70.0, abs=0.2)


def test_a_click_will_do_and_escape_stops() -> None:
    screen, clock = stand()
    screen.happen("pointer-down", after_s=1.0, x=5, y=5, button=1)
    screen.press("escape", after_s=2.0)
    with pytest.raises(Stopped):
        for_camera(screen, clock, pictures(), TITLE_CARD, lambda _: None)


def test_a_return_of_the_same_moment_does_not_take_escape_s_place() -> None:
    screen, clock = stand()
    screen.press("return", after_s=1.0)
    screen.press("escape", after_s=1.0)
    with pytest.raises(Stopped):
        for_camera(screen, clock, pictures(), TITLE_CARD, lambda _: None)
    assert [s.frame.pattern for s in screen.note.shown] == ["title-card"]


def test_names_tell_pattern_and_codes() -> None:
    assert photo_name(3, Held("field", field, (0.0, 180.0, 0.0))) == "03-field-c0-180-0"
    assert photo_name(12, Held("window", field, (12.5, 12.5, 12.5))) == "12-window-c12.5"
