"""A short list on a dim card: one line is pointed at by arrows or wheel, taken by Return or a click.

The wheel moves and a click takes wherever the pointer is, so the list needs no place on the screen to be aimed at.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from panelwear.screen.contract import Card, ScreenEvent

Outcome = Literal["open", "taken", "dropped"]
MOVES = {"up": -1, "left": -1, "down": 1, "right": 1, "tab": 1}
OUTCOMES: dict[str, Outcome] = {"return": "taken", "space": "taken", "backspace": "dropped"}
BUTTONS: dict[int, Outcome] = {1: "taken", 3: "dropped"}


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
            return replace(self, outcome=BUTTONS.get(event.button, "open"))
        return self._key(event.key) if event.kind == "key" else self

    def _key(self, key: str) -> Menu:
        if key in MOVES:
            return self._moved(MOVES[key])
        if key in OUTCOMES:
            return replace(self, outcome=OUTCOMES[key])
        number = int(key) if key.isdigit() else 0
        if key in {"home", "end"} or 1 <= number <= len(self.options):
            last = len(self.options) - 1
            at = {"home": 0, "end": last}.get(key, number - 1)
            return replace(self, at=at, outcome="taken" if number else "open")
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
            f"{'>' if n == self.at else ' '} {n + 1 if n < 9 else ' '}  {text}"
            for n, text in enumerate(self.options[first : first + 9], start=first)
        ]
        return Card(
            (*lines, "", "arrows or wheel · Return or click · Backspace or right click: back"), self.title, None, corner
        )
