"""What is written over the walk's fields: a list to choose from, a line being typed, the help card and other texts.

The wheel moves and a click takes wherever the pointer is, so nothing on the screen has to be aimed at.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from panelwear.screen.contract import Card, ScreenEvent
from patterns.frame import Rect

Outcome = Literal["open", "taken", "dropped"]
MOVES = {"up": -1, "left": -1, "down": 1, "right": 1, "tab": 1}
OUTCOMES: dict[str, Outcome] = {"return": "taken", "space": "taken", "backspace": "dropped", "escape": "dropped"}
BUTTONS: dict[int, Outcome] = {1: "taken", 3: "dropped"}


@dataclass(frozen=True, slots=True)
class Menu:
    """A title, lines to choose from, and the one pointed at."""

    title: str
    options: tuple[str, ...]
    at: int = 0
    outcome: Outcome = "open"
    places: tuple[Rect | None, ...] = ()
    """Where on the field each line's thing is; none: the lines name nothing that has a place."""

    @property
    def pointed(self) -> Rect | None:
        """Where the thing is that is pointed at."""
        return self.places[self.at] if self.places else None

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
    def answer(self) -> str:
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
            (*lines, "", "arrows or wheel · Return or click · Escape, Backspace or right click: back"),
            self.title,
            None,
            corner,
        )


LONGEST = 120


@dataclass(frozen=True, slots=True)
class TextEntry:
    """A title, what is typed so far, and lines that are offered in the place of typing; it holds every key."""

    title: str
    text: str = ""
    outcome: Outcome = "open"
    offers: tuple[str, ...] = ()
    """Up, down and the wheel go through them."""

    def handle(self, event: ScreenEvent) -> TextEntry:
        """Return the line after an event: text, Backspace; Return or a left click takes it, a right click drops it."""
        if event.kind == "text":
            return replace(self, text=(self.text + "".join(c for c in event.text if c.isprintable()))[:LONGEST])
        if event.kind == "wheel":
            return self._offered(-1 if event.button > 0 else 1)
        if event.kind == "pointer-up":
            return replace(self, outcome=BUTTONS.get(event.button, "open"))
        return self._key(event.key) if event.kind == "key" else self

    def _key(self, key: str) -> TextEntry:
        if key in {"up", "down"}:
            return self._offered(-1 if key == "up" else 1)
        if key == "backspace" and self.text:
            return replace(self, text=self.text[:-1])
        # A space is a letter here.
        return self if key == "space" else replace(self, outcome=OUTCOMES.get(key, "open"))

    def _offered(self, by: int) -> TextEntry:
        if not self.offers:
            return self
        at = self.offers.index(self.text) + by if self.text in self.offers else (0 if by > 0 else -1)
        return replace(self, text=self.offers[at % len(self.offers)])

    @property
    def answer(self) -> str:
        """What was typed."""
        return self.text.strip()

    def card(self, corner: str = "bottom-left") -> Card:
        """Return the line as a card."""
        offered = ("up, down or wheel: " + " · ".join(self.offers), "") if self.offers else ()
        back = "Return or click: take it · Escape, Backspace on an empty line, or a right click: back"
        return Card((*offered, back), self.title, self.text, corner)


HELP_TITLE = "By eye: what the keys and the mouse do"
HELP: tuple[str, ...] = (
    "left, right: field before, next (mouse: click at the left or right edge)",
    "up, down: one drive level brighter, darker (wheel)",
    "Shift with up, down: a quarter of a drive level (middle click: finer wheel)",
    "C: channel, grey, red, green, blue",
    "M: mark what you see (drag; right button: a line; click: a spot)",
    "U: take a mark back, or put one back that was taken",
    "N: match a mark or zone",
    "T: note on the last mark",
    "Z: make a mark a zone of the panel",
    "V: marks of this session on or off",
    "E: earlier marks, once you have looked without them",
    "O: writing on or off",
    "Tab: all of this as a list (right click)",
    "H: this card",
    "Q: done for now",
    "Escape: back from a list or a line; from a field, screen dark at once; everything is kept",
)
MENU_TITLE = "By eye"
COMMANDS: tuple[tuple[str, str], ...] = (
    ("next", "next field"),
    ("previous", "field before"),
    ("channel", "other channel"),
    ("mark", "mark with the keys"),
    ("undo", "take a mark back or put one back"),
    ("match", "match a mark or zone"),
    ("note", "note on the last mark"),
    ("zone", "make a mark a zone"),
    ("own", "marks of this session on or off"),
    ("earlier", "earlier marks on or off"),
    ("overlay", "writing on or off"),
    ("help", "help card"),
    ("leave", "done for now"),
)
"""Command and its line, for the list that Tab or a right click opens."""

KEYS: dict[str, str] = {
    "right": "next", "space": "next", "left": "previous", "c": "channel", "m": "mark", "u": "undo", "n": "match",
    "t": "note", "z": "zone", "v": "own", "e": "earlier", "o": "overlay", "h": "help", "f1": "help", "?": "help",
    "q": "leave", "tab": "menu",
}  # fmt: skip
"""Key and the command it gives."""

NOTES: tuple[str, ...] = (
    "only from the side",
    "only on this colour",
    "moves with the picture",
    "not sure",
    "dirt on the glass?",
)
"""Offered where a note is typed."""
KEEP = "none: leave them as they are"
"""First in the list of marks to take back: a stray key changes nothing."""
METHODS: tuple[tuple[str, str], ...] = (
    ("adjustment", "adjust it until it has gone (about 12 min)"),
    ("forced-choice", "brighter or darker? up to 60 answers, tighter"),
    ("detection", "what could I see at all? up to 60 answers"),
)
PLACING_KEYS = (
    "A box in the middle: arrows move · S: size · L: line or box · Shift: one pixel · Return: here · Escape: no mark"
)
"""Said while a shape is placed by keys."""
