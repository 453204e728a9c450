"""One line being typed on a dim card."""

from __future__ import annotations

from dataclasses import dataclass, replace

from panelwear.byeye.menu import Outcome
from panelwear.screen.contract import Card, ScreenEvent

LONGEST = 120


@dataclass(frozen=True, slots=True)
class Entry:
    """A title and what is typed so far."""

    title: str
    text: str = ""
    outcome: Outcome = "open"

    def handle(self, event: ScreenEvent) -> Entry:
        """Return the line after an event: text, Backspace; Return or a left click takes it, a right click drops it."""
        if event.kind == "text":
            return replace(self, text=(self.text + event.text)[:LONGEST])
        if event.kind == "pointer-up" and event.button in {1, 3}:
            return replace(self, outcome="taken" if event.button == 1 else "dropped")
        if event.kind == "key" and event.key == "return":
            return replace(self, outcome="taken")
        if event.kind == "key" and event.key == "backspace":
            return replace(self, text=self.text[:-1]) if self.text else replace(self, outcome="dropped")
        return self

    def card(self) -> Card:
        """Return the line as a card."""
        return Card(("Backspace on an empty line, or a right click: back",), self.title, self.text)
