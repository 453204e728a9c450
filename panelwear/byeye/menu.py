"""A short list on a dim card: one line is pointed at by arrows or wheel, taken by Return or a click.

The wheel moves and a click takes wherever the pointer is, so the list needs no place on the screen to be aimed at.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from panelwear.screen.contract import Card, ScreenEvent

Outcome = Literal["open", "taken", "dropped"]


@dataclass(frozen=True, slots=True)
class Menu:
    """A title, lines to choose from, and the one pointed at."""

    title: str
    options: tuple[str, ...]
    at: int = 0
    outcome: Outcome = "open"

    def handle(self, event: ScreenEvent) -> Menu:
        """Return the menu after an event: arrows, wheel, Home, End, digits; Return or left click takes it."""
        if event.kind == "wheel":
            return self._moved(-1 if event.button > 0 else 1)
        if event.kind == "pointer-up":
            return replace(self, outcome="dropped" if event.button == 3 else "taken")
        if event.kind != "key":
            return self
        if event.key in {"up", "left"}:
            return self._moved(-1)
        if event.key in {"down", "right", "tab"}:
            return self._moved(1)
        if event.key in {"home", "end"}:
            return replace(self, at=0 if event.key == "home" else len(self.options) - 1)
        if event.key in {"return", "space"}:
            return replace(self, outcome="taken")
        if event.key == "backspace":
            return replace(self, outcome="dropped")
        if event.key.isdigit() and 1 <= int(event.key) <= len(self.options):
            return replace(self, at=int(event.key) - 1, outcome="taken")
        return self

    def _moved(self, by: int) -> Menu:
        return replace(self, at=(self.at + by) % len(self.options))

    @property
    def chosen(self) -> str:
        """The line pointed at."""
        return self.options[self.at]

    def card(self, corner: str = "bottom-left") -> Card:
        """Return the list as a card, at most nine lines of it round the one pointed at."""
        first = min(max(0, self.at - 4), max(0, len(self.options) - 9))
        lines = [
            f"{'›' if n == self.at else ' '} {n + 1 if n < 9 else ' '}  {text}"
            for n, text in enumerate(self.options[first : first + 9], start=first)
        ]
        return Card((*lines, "", "arrows or wheel · Return or click · Backspace or right click: back"), self.title, None, corner)
