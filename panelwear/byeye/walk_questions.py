"""The question on the screen and those it came from: a list or a line, one level of them over the other."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from panelwear.byeye.walk_cards import Menu, TextEntry
from panelwear.screen.contract import ScreenEvent

Question = Menu | TextEntry
Answered = Callable[[str], None]


@dataclass(slots=True)
class Asking:
    """At most one question is open; what led to it lies below, and going back opens that again."""

    _open: list[tuple[Question, Answered]] = field(default_factory=list)
    _pressed: str = ""
    """The key last pressed: its letter arrives as text of its own, after what the key did."""
    _leaks: str = ""
    """A letter that is not meant for the line that is open."""

    @property
    def question(self) -> Question | None:
        """The question on the screen."""
        return self._open[-1][0] if self._open else None

    def press(self, event: ScreenEvent) -> None:
        """Hear of every event before it is handled."""
        if event.kind != "text":
            self._pressed = event.key if event.kind == "key" else ""
            self._leaks = ""

    def ask(self, question: Question, answered: Answered) -> None:
        """Open a question over the one that led to it, if any; ``answered`` gets the answer."""
        self._open.append((question, answered))
        self._leaks = " " if self._pressed == "space" else self._pressed

    def handle(self, event: ScreenEvent) -> bool:
        """Give the open question an event; ``True`` when the last one was left without an answer."""
        question, answered = self._open[-1]
        if event.kind == "text" and self._leaks and event.text.casefold() == self._leaks:
            self._leaks = ""
            return False
        now = question.handle(event)
        self._open[-1] = (now, answered)
        if now.outcome == "open":
            return False
        if now.outcome == "dropped" or not now.answer:
            self._open.pop()
            return not self._open
        depth = len(self._open)
        self._open[-1] = (replace(now, outcome="open"), answered)
        answered(now.answer)
        if len(self._open) == depth:  # no further question: all is said
            self._open.clear()
        return False
