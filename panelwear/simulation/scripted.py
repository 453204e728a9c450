"""A script in the person's place: answers questions, puts the simulated probe down, takes a person's time."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Protocol

from groundwork.clock import Clock
from panelwear.errors import UsageError
from panelwear.screen.operator import Inquiry, Progress, Question, Watch
from panelwear.screen.page import Page
from sequences.model import Place


class Movable(Protocol):
    """A probe that can be put down and covered, over a panel that can be switched off."""

    def put(self, at_px: tuple[float, float]) -> None:
        """Put it down at a place, in pixels of the screen."""
        ...

    def cover(self, covered: bool = True) -> None:
        """Cover or uncover it."""
        ...

    def switch_panel(self, on: bool) -> None:
        """Switch the panel off or on under it."""
        ...


class ScriptedOperator:
    """An ``Operator`` without a person.

    What it was told and asked stays in ``told``, ``asked`` and ``places``, so that a test can look.
    """

    def __init__(
        self,
        answers: Mapping[str, str] | None = None,
        probe: Movable | None = None,
        clock: Clock | None = None,
        *,
        say: Callable[[str], None] | None = None,
        on_progress: Callable[[Progress], None] | None = None,
        moving_s: float = 20.0,
    ) -> None:
        """Make a script.

        Args:
            answers: by the question's key; other questions get their default.
            probe: the simulated probe it moves.
            clock: a virtual clock on which moving the probe and being ready take time; ``None``: no time.
            say: called with everything told.
            on_progress: called with the progress of the run.
            moving_s: how long it takes to move the probe.
        """
        self.answers = dict(answers or {})
        self.told: list[str] = []
        self.asked: list[tuple[str, str]] = []
        self.places: list[str] = []
        self.bells = 0
        self._probe = probe
        self._clock = clock
        self._say = say
        self._on_progress = on_progress
        self._moving_s = moving_s

    def tell(self, text: str) -> None:
        """Remember what was said."""
        self.told.append(text)
        if self._say is not None:
            self._say(text)

    def ask(self, question: Question) -> str:
        """Answer from the script, else with the default.

        Raises:
            UsageError: when the script's answer is one the question does not take; a script cannot think again.
        """
        answer = self.answers.get(question.key, question.default)
        if question.check is not None:
            try:
                answer = question.check(answer)
            except ValueError as fault:
                raise UsageError(f"the scripted answer '{answer}' to '{question.key}' will not do: {fault}") from fault
        elif question.choices and answer not in question.choices:
            allowed = ", ".join(question.choices)
            raise UsageError(f"the scripted answer '{answer}' to '{question.key}' will not do; allowed: {allowed}")
        self.asked.append((question.key, answer))
        self._do(question.key, answer)
        return answer

    def ask_all(self, inquiry: Inquiry) -> dict[str, str]:
        """Answer one question after the other, and be told what it costs."""
        answers = {question.key: self.ask(question) for question in inquiry.questions}
        for sentence in inquiry.costs(answers):
            self.tell(sentence)
        return answers

    def read_page(self, page: Page) -> None:
        """Remember its title."""
        self.told.append(page.title)

    def put_probe(self, place: Place, text: str, watch: Watch | None = None) -> None:
        """Lift the simulated probe and put it down at the place: a fresh placement error."""
        self.told.append(text)
        self.places.append(place.name)
        if self._probe is not None:
            self._probe.put(place.at_px)
        self._take(self._moving_s)

    def go_on(self, text: str, unheard_s: float = 0.0, watch: Watch | None = None, page: Page | None = None) -> None:
        """Be ready."""
        self.told.append(text)
        self._take(5.0)

    def choose(self, page: Page, most_s: float = math.inf) -> str:
        """Take the row the script names for the page's title, else the one that is chosen."""
        self.told.append(page.title)
        return self.answers.get(page.title, page.chosen)

    def progress(self, progress: Progress) -> None:
        """Pass the progress on."""
        if self._on_progress is not None:
            self._on_progress(progress)

    def bell(self) -> None:
        """Count the bells."""
        self.bells += 1

    def _do(self, key: str, answer: str) -> None:
        """Do with the hands what an answer promises (the keys are those of the room step)."""
        if self._probe is None or answer != "ready":
            return
        match key:
            case "probe-floor":
                self._probe.cover(True)
            case "probe-floor-done":
                self._probe.cover(False)
            case "screen-off":
                self._probe.switch_panel(False)
            case "screen-off-done":
                self._probe.switch_panel(True)
            case _:
                return
        self._take(self._moving_s)

    def _take(self, seconds: float) -> None:
        if self._clock is not None and self._clock.fast:
            self._clock.sleep(seconds)
