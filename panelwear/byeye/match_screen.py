"""Measuring by eye on the screen: turning a correction, answering brighter or darker, finding what can be seen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from groundwork.clock import Clock
from panelwear.byeye.forced_choice import PairChoice
from panelwear.byeye.matching import Matching
from panelwear.byeye.quest import Quest
from panelwear.byeye.zone_correction import Response, correction_frame
from panelwear.errors import UsageError
from panelwear.screen.contract import Card, Screen, ScreenEvent
from panelwear.screen.waiting import clicked, goes_on, is_key_or_click, moments
from patterns.frame import Frame, Rect

CARD_S = 1.6
PLACE_S = 1.2
"""How long the outline of the judged place stands before each trial."""
REST_S = 0.5
"""Plain field between two forced choices."""
DEAF_S = 0.3
"""Answers this soon after a picture are a key still held, not an answer."""

ADJUST_HELP = (
    "A zone is laid over the marked place. Adjust it until it has just gone, then press Return.",
    "up, down or wheel: brighter, darker · with Shift, or after a middle click: finer · page up, down: coarser",
    "Return or click: it has gone · Backspace or right click: make the last one again",
    "Q: stop here · Escape: screen dark",
)
CHOICE_HELP = (
    "Is the place brighter or darker than what is round it? Guess when you cannot tell.",
    "up or wheel up: brighter · down or wheel down: darker · Q: stop here",
)
DETECT_HELP = (
    "On one of two places something is a little brighter. Which one? Guess when you cannot tell.",
    "left, right, or a click on that half of the screen · Q: stop here",
)
TURNS = {"up": 1, "right": 1, "down": -1, "left": -1}
COARSE = {"page-up": 1, "page-down": -1}


@dataclass(slots=True)
class MatchScreen:
    """One zone at one level and hue on a real or fake screen."""

    screen: Screen
    clock: Clock
    field: Frame
    """The flat field."""
    zone: Rect
    response: Response
    edge_px: int
    unworn: Rect | None = None
    """Place of the zone's size without known wear, where shams and decoys lie."""
    pair: tuple[Rect, Rect] | None = None
    """Two such places, left and right."""
    fine: bool = False

    def _frame(self, c: float, *, aside: bool = False, matched: float = 0.0) -> Frame:
        if not aside:
            return correction_frame(self.field, self.zone, c, self.edge_px, self.response)
        # The zone itself stays matched as far as is known, so that it does not tell such a trial from another.
        under = correction_frame(self.field, self.zone, matched, self.edge_px, self.response)
        return correction_frame(under, self._place(aside), c, self.edge_px, self.response)

    def _place(self, aside: bool) -> Rect:
        return self.unworn if aside and self.unworn is not None else self.zone

    def _pause(self, seconds: float) -> bool:
        """Wait, or until a key or a click; returns whether to go on: ``False`` for Q."""
        for events in moments(self.screen, self.clock, self.clock.monotonic_s() + seconds):
            if any(_breaks_off(event) for event in events):
                return False
            if any(is_key_or_click(event) for event in events):
                return True
        return True

    def _introduce(self, lines: Sequence[str]) -> bool:
        """Say what is to be done, until a key, a click or a minute; ``False`` for Q."""
        self.screen.show(self.field)
        self.screen.card(Card((*lines, "", "any other key or click: begin"), corner=self._corner()))
        return self._pause(60.0)

    def _corner(self) -> str:
        return "top-left" if self.zone.centre[1] > self.field.height / 2 else "bottom-left"

    def _point_at(self, place: Rect, said: str) -> bool:
        self.screen.show(self.field)
        self.screen.card(Card((said,), corner=self._corner()))
        if not self._pause(CARD_S):
            return False
        self.screen.outlines([(place.x - 3, place.y - 3, place.w + 6, place.h + 6)])
        return self._pause(PLACE_S)

    def adjust(self, matching: Matching) -> bool:
        """Run a matching to its end; returns whether it was finished (``False``: broken off, settings are kept)."""
        if not self._introduce(ADJUST_HELP):
            return False
        while not matching.done:
            aside = matching.trial.aside
            prompt = f"{matching.trial.number} of {matching.trials}: adjust it until it has just gone"
            if not (self._point_at(self._place(aside), prompt) and self._one_setting(matching, aside)):
                return False
        return True

    def _one_setting(self, matching: Matching, aside: bool) -> bool:
        known = [s.c for s in matching.settings if s.trial.kind in {"practice", "zone"}]
        matched = sum(known) / len(known) if known else 0.0
        shown: float | None = matching.c
        self.screen.show(self._frame(matching.seen, aside=aside, matched=matched))
        # What is still in the queue was pressed before this picture was seen: it may turn, but take nothing.
        seen = False
        for events in moments(self.screen, self.clock):
            for event in events:
                if _breaks_off(event):
                    return False
                if self._turned(matching, event):
                    continue
                if goes_on(event) and matching.turned and seen and matching.c == shown:
                    matching.accept()
                    return True
                if goes_on(event) and seen and not matching.turned:
                    self.screen.card(Card(("Adjust first, then press Return.",), corner=self._corner()))
                    shown = None
                elif _takes_back(event) and matching.undo():
                    return True
            seen = matching.c == shown or not matching.turned
            if not seen:
                shown = matching.c
                self.screen.show(self._frame(matching.seen, aside=aside, matched=matched), 0.0)
        return False

    def _turned(self, matching: Matching, event: ScreenEvent) -> bool:
        if clicked(event, 2):
            self.fine = not self.fine
        elif event.kind == "wheel":
            matching.turn(1 if event.button > 0 else -1, "fine" if self.fine or event.shift else "step")
        elif event.kind == "key" and event.key in TURNS:
            matching.turn(TURNS[event.key], "fine" if event.shift else "step")
        elif event.kind == "key" and event.key in COARSE:
            matching.turn(COARSE[event.key], "coarse")
        else:
            return False
        return True

    def choose(self, choice: PairChoice) -> bool:
        """Run a forced choice to its end; ``False``: broken off, answers are kept."""
        if not self._introduce(CHOICE_HELP):
            return False
        pointed_at: Rect | None = None
        while not choice.done:
            place = self._place(choice.aside)
            if place != pointed_at and not self._point_at(place, "this place now"):
                return False
            pointed_at = place
            self.screen.show(self._frame(choice.c, aside=choice.aside))
            on_s = self.clock.monotonic_s()
            said = self._answer(_brighter)
            if said is None:
                return False
            choice.answer(said, self.clock.monotonic_s() - on_s)
            self.screen.show(self.field)
            if not self._pause(REST_S):
                return False
        return True

    def detect(self, quest: Quest) -> bool:
        """Run a search for the detection threshold to its end; ``False``: broken off, answers are kept."""
        if self.pair is None:
            raise UsageError("there are no two unworn places of the zone's size, so detection cannot be tested")
        left, right = self.pair
        if not self._introduce(DETECT_HELP):
            return False
        self.screen.outlines([(r.x - 3, r.y - 3, r.w + 6, r.h + 6) for r in (left, right)])
        if not self._pause(2 * PLACE_S):
            return False
        while not quest.done:
            place = left if quest.side == "left" else right
            self.screen.show(correction_frame(self.field, place, quest.contrast, self.edge_px, self.response))
            said = self._answer(self._left)
            if said is None:
                return False
            quest.answer(said == (quest.side == "left"))
            self.screen.show(self.field)
            if not self._pause(REST_S):
                return False
        return True

    def _left(self, event: ScreenEvent) -> bool | None:
        if event.kind == "key" and event.key in {"left", "right"}:
            return event.key == "left"
        if clicked(event):
            return event.x < self.field.width / 2
        return None

    def _answer(self, meaning: _Meaning) -> bool | None:
        """Wait for an answer; ``None`` for Q."""
        from_s = self.clock.monotonic_s() + DEAF_S
        for events in moments(self.screen, self.clock):
            for event in events:
                if _breaks_off(event):
                    return None
                said = meaning(event)
                if said is not None and event.at_s >= from_s:
                    return said
        return None


_Meaning = Callable[[ScreenEvent], bool | None]


def _breaks_off(event: ScreenEvent) -> bool:
    return event.kind == "key" and event.key == "q"


def _takes_back(event: ScreenEvent) -> bool:
    return (event.kind == "key" and event.key in {"backspace", "u"}) or clicked(event, 3)


def _brighter(event: ScreenEvent) -> bool | None:
    if event.kind == "wheel":
        return event.button > 0
    if event.kind == "key" and event.key in {"up", "down"}:
        return event.key == "up"
    return None
