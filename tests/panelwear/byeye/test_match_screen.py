"""What the screen takes from a hand that is early, quick, or has had enough."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from groundwork.clock import VirtualClock
from panelwear.byeye.forced_choice import ChoicePlan, PairChoice
from panelwear.byeye.match_screen import MatchScreen
from panelwear.byeye.matching import Matching, MatchPlan
from panelwear.byeye.quest import Quest, QuestPlan
from panelwear.screen.contract import Card
from panelwear.screen.fake import FakeScreen
from patterns import build
from patterns.frame import Frame, Rect
from patterns.raster import raster
from tests.panelwear.byeye.eye import HEIGHT, WIDTH, EyeScreen, clock

ZONE, UNWORN = Rect(50, 50, 60, 60), Rect(400, 50, 60, 60)


def power(code: float) -> float:
    return 330 * (code / 255) ** 2.2


def stand(now: VirtualClock, screen: FakeScreen) -> MatchScreen:
    field = build("field", WIDTH, HEIGHT, codes=(128.0,) * 3)
    return MatchScreen(screen, now, field, ZONE, power, 8, UNWORN, (Rect(50, 200, 60, 60), Rect(530, 200, 60, 60)))


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
        "adjust": lambda: run.adjust(Matching(MatchPlan(), 3)),
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
    matching = Matching(MatchPlan(), 3)
    start = matching.c
    screen.press("space", after_s=0.5)
    screen.press("up", "page-up", "return", after_s=6.0)
    screen.press("q", after_s=8.0)
    assert stand(now, screen).adjust(matching) is False
    assert matching.settings == []
    assert matching.c == pytest.approx(start + 0.012)


def test_a_setting_that_was_on_the_screen_is_taken() -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    matching = Matching(MatchPlan(), 3)
    start = matching.c
    screen.press("space", after_s=0.5)
    screen.press("up", after_s=6.0)
    screen.press("return", after_s=6.3)
    screen.press("q", after_s=8.0)
    assert stand(now, screen).adjust(matching) is False
    assert [s.c for s in matching.settings] == [pytest.approx(start + 0.002)]


def test_a_key_pressed_while_a_picture_comes_takes_nothing() -> None:
    now = clock()

    class Slow(FakeScreen):
        def show(self, frame: Frame, fade_s: float | None = None, card: Card | None = None) -> object:  # type: ignore[override]
            if fade_s == 0.0:
                self.press("return", after_s=0.2)
                now.sleep(0.5)  # the flash governor makes it wait
            return super().show(frame, fade_s, card)

    screen = Slow(WIDTH, HEIGHT, now)
    matching = Matching(MatchPlan(), 3)
    screen.press("space", after_s=0.5)
    screen.press("up", after_s=6.0)
    screen.press("q", after_s=9.0)
    assert stand(now, screen).adjust(matching) is False
    assert matching.settings == []


def test_turning_to_and_fro_clears_the_reminder_before_anything_is_taken() -> None:
    now = clock()
    screen = FakeScreen(WIDTH, HEIGHT, now)
    matching = Matching(MatchPlan(), 3)
    screen.press("space", after_s=0.5)
    screen.press("return", after_s=6.0)
    screen.press("up", "down", after_s=7.0)
    screen.press("q", after_s=8.0)
    stand(now, screen).adjust(matching)
    assert screen.card_now is None


class Seen(EyeScreen):
    """Notes what was on before each answer, one list a trial."""

    def __init__(self, now: VirtualClock, worn: Rect) -> None:
        super().__init__(now, worn, lambda _: 0.015)
        self.trials: list[list[tuple[object, ...]]] = []
        self.awake = True

    def show(self, frame: Frame, fade_s: float | None = None, card: Card | None = None) -> object:  # type: ignore[override]
        places = tuple(value for key, value in frame.shape if key == "correction")
        if places and self.mode == "choose":
            self.trials.append([])
        if places:
            self.trials[-1].append(("corrected", places, fade_s))
        return super().show(frame, fade_s, card)

    def card(self, card: Card | None) -> None:
        if card is not None and " of " in card.lines[0] and "just gone" in card.lines[0]:
            self.trials.append([("card", card.lines[0].partition(":")[2], card.corner)])
        super().card(card)

    def outlines(self, frame_over: Sequence[tuple[int, int, int, int]]) -> None:
        if self.mode == "adjust":
            whole = raster(self.frame_now)
            assert (whole == whole[0, 0]).all(), "nothing is laid on while the place is outlined"
            self.trials[-1].append(("outline", tuple(frame_over)))
        super().outlines(frame_over)


@pytest.mark.slow
def test_before_the_answer_nothing_tells_a_sham_from_a_decoy_in_a_matching() -> None:
    looks: dict[str, set[tuple[object, ...]]] = {"sham": set(), "decoy": set(), "zone": set()}
    for seed in range(4):
        now = clock()
        screen = Seen(now, ZONE)
        matching = Matching(MatchPlan(settings=6), seed)
        assert stand(now, screen).adjust(matching)
        assert len(screen.trials) == matching.trials == 11
        for setting, trial in zip(matching.settings, screen.trials, strict=True):
            if setting.trial.kind != "practice":
                looks[setting.trial.kind].add(tuple(dict.fromkeys(trial)))
        shams = [s.c for s in matching.settings if s.trial.kind == "sham"]
        decoys = [s.c for s in matching.settings if s.trial.kind == "decoy"]
        assert np.abs(shams).max() < 0.006
        assert np.abs(decoys).min() > 0.006, "there was something to match"
    assert looks["sham"] == looks["decoy"]
    assert len(looks["sham"]) == 1
    assert looks["sham"].isdisjoint(looks["zone"]), "the place differs, and only the place"


@pytest.mark.slow
def test_in_a_forced_choice_shams_and_decoys_lie_at_the_same_place_under_the_same_outline() -> None:
    now = clock()
    screen = Seen(now, ZONE)
    screen.mode = "choose"
    choice = PairChoice(ChoicePlan(stop_u=0.0), 4)
    kinds: list[str] = []
    given = choice.answer

    def answer(brighter: bool, after_s: float) -> None:
        kinds.append(choice.kind)
        given(brighter, after_s)

    choice.answer = answer  # type: ignore[method-assign]
    assert stand(now, screen).choose(choice)
    looks = {kind: {tuple(t) for k, t in zip(kinds, screen.trials, strict=True) if k == kind} for kind in set(kinds)}
    assert looks["sham"] == looks["decoy"]
    assert len(looks["sham"]) == 1
    assert kinds.count("sham") == kinds.count("decoy") == 15
    outlined = {boxes for boxes in screen.outlined if boxes}
    assert outlined == {((47, 47, 66, 66),), ((397, 47, 66, 66),)}
