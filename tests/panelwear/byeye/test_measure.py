"""What the screen takes from a hand that is early, quick, or has had enough."""

from __future__ import annotations

import pytest

from panelwear.byeye.choice import ChoicePlan, PairChoice
from panelwear.byeye.measure import Measuring
from panelwear.byeye.nulling import Nulling, Plan
from panelwear.byeye.quest import Quest, QuestPlan
from panelwear.clock import VirtualClock
from panelwear.screen.contract import Card
from panelwear.screen.fake import FakeScreen
from patterns import build
from patterns.frame import Frame, Rect
from tests.panelwear.byeye.eye import HEIGHT, WIDTH, clock

ZONE, PLAIN = Rect(50, 50, 60, 60), Rect(400, 50, 60, 60)


def power(code: float) -> float:
    return 330 * (code / 255) ** 2.2


def stand(now: VirtualClock, screen: FakeScreen) -> Measuring:
    field = build("field", WIDTH, HEIGHT, codes=(128.0,) * 3)
    return Measuring(screen, now, field, ZONE, power, 8, (PLAIN,), (Rect(50, 200, 60, 60), Rect(530, 200, 60, 60)))


def corrections(screen: FakeScreen) -> int:
    return sum(any(key == "correction" for key, _ in shown.frame.shape) for shown in screen.note.shown)


@pytest.mark.parametrize("method", ["adjust", "choose", "detect"])
@pytest.mark.parametrize("at_s", [1.0, 2.5])
def test_q_breaks_off_on_the_card_and_while_the_place_is_outlined(method: str, at_s: float) -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    run = stand(now, screen)
    if at_s > 2:
        screen.press("space", after_s=0.5)
    screen.press("q", after_s=at_s)
    screen.press("escape", after_s=30.0)
    machines = {
        "adjust": lambda: run.adjust(Nulling(Plan(), 3)),
        "choose": lambda: run.choose(PairChoice(ChoicePlan(), 3)),
        "detect": lambda: run.detect(Quest(QuestPlan(), 3)),
    }
    assert machines[method]() is False
    assert corrections(screen) == 0, "nothing was begun"
    cards = [card for card in screen.note.cards if card is not None]
    assert cards[0].lines[-1] == "any other key or click: begin"


def test_a_setting_that_was_never_on_the_screen_is_not_taken() -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    nulling = Nulling(Plan(), 3)
    start = nulling.c
    screen.press("space", after_s=0.5)
    screen.press("up", "page-up", "return", after_s=6.0)
    screen.press("q", after_s=8.0)
    assert stand(now, screen).adjust(nulling) is False
    assert nulling.settings == []
    assert nulling.c == pytest.approx(start + 0.012)


def test_a_setting_that_was_on_the_screen_is_taken() -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    nulling = Nulling(Plan(), 3)
    start = nulling.c
    screen.press("space", after_s=0.5)
    screen.press("up", after_s=6.0)
    screen.press("return", after_s=6.3)
    screen.press("q", after_s=8.0)
    assert stand(now, screen).adjust(nulling) is False
    assert [s.c for s in nulling.settings] == [pytest.approx(start + 0.002)]


def test_a_key_pressed_while_a_picture_comes_takes_nothing() -> None:
    now = clock()

    class Slow(FakeScreen):
        def show(self, frame: Frame, fade_s: float | None = None, card: Card | None = None) -> object:  # type: ignore[override]
            if fade_s == 0.0:
                self.press("return", after_s=0.2)
                now.sleep(0.5)  # the flash governor makes it wait
            return super().show(frame, fade_s, card)

    screen = Slow(WIDTH, HEIGHT, now)
    nulling = Nulling(Plan(), 3)
    screen.press("space", after_s=0.5)
    screen.press("up", after_s=6.0)
    screen.press("q", after_s=9.0)
    assert stand(now, screen).adjust(nulling) is False
    assert nulling.settings == []


def test_turning_to_and_fro_clears_the_reminder_before_anything_is_taken() -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    nulling = Nulling(Plan(), 3)
    screen.press("space", after_s=0.5)
    screen.press("return", after_s=6.0)
    screen.press("up", "down", after_s=7.0)
    screen.press("q", after_s=8.0)
    stand(now, screen).adjust(nulling)
    assert screen.card_now is None
