"""What a command said, as a page that can be scrolled; a page while it works; a question before it does."""

from __future__ import annotations

import re
import textwrap
from dataclasses import dataclass, replace

from panelwear.screen.contract import ScreenEvent
from panelwear.screen.page import Buttons, Item, Items, Page, Part, Words
from panelwear.start.facts import World
from panelwear.start.state import Guarded, State, StopChild, Wish

LINE_CHARACTERS = 84
"""What a line of a page holds, about."""
PAGE_LINES = 16
"""What a page holds beside its title, its buttons and its keys."""
_COLUMNS = re.compile(r" {2,}")
EXIT_WORDS = {
    0: "done",
    1: "stopped; everything up to there is kept",
    2: "not done: something that was asked for makes no sense, or a file has faults",
    3: "not done: the screen, or a stored file, is not what it should be",
    4: "stopped by the probe; everything up to there is kept",
    5: "stopped by the disk or the folder; everything up to there is kept",
    6: "stopped by a fault of the program itself; what was stored stays",
}


def exit_words(code: int) -> str:
    """Say how a command ended."""
    return EXIT_WORDS.get(code, "ended by the system; what was stored stays")


def ending(code: int) -> str:
    """Say in a word how a command ended."""
    return {0: "done", 1: "stopped"}.get(code, "not done")


@dataclass(frozen=True, slots=True)
class Block:
    """A paragraph, or one row of a table."""

    cells: tuple[str, ...]

    @property
    def lines(self) -> int:
        """Lines it takes on a page, about."""
        if len(self.cells) > 1:
            return 2 if len(self.cells) > 2 else 1
        return max(1, len(textwrap.wrap(self.cells[0], LINE_CHARACTERS)))

    def item(self, name: str) -> Item:
        """Return a row of a table: its name, its value, what else stands there, its verdict."""
        label, *rest = self.cells
        if len(rest) == 1:
            return Item(name, label, value=rest[0])
        *others, value, verdict = rest
        return Item(name, label, value=value, note=", ".join(others), mark=verdict)


def blocks_of(lines: list[str]) -> tuple[Block, ...]:
    """Take what was written for a terminal apart: columns become rows of a table, all else paragraphs."""
    found: list[Block] = []
    for line in lines:
        cells = tuple(_COLUMNS.split(line.strip()))
        found.append(Block(cells if 1 < len(cells) < 4 else (line.strip(),)))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Told:
    """A text with its buttons; arrows and wheel scroll it, Return takes a button."""

    title: str
    blocks: tuple[Block, ...]
    head: str = ""
    """In one sentence, over the text, and always to be seen."""
    buttons: tuple[tuple[str, str, Wish | None], ...] = (("back", "Back", None),)
    """Id, words, and what each asks for; ``None``: nothing but back."""
    chosen: str = "back"
    top: int = 0

    @property
    def bottom(self) -> int:
        """Number of the first block that does not fit any more."""
        room, at = PAGE_LINES, self.top
        while at < len(self.blocks) and (room := room - self.blocks[at].lines) >= 0:
            at += 1
        return max(at, self.top + 1)

    def page(self, world: World) -> Page:
        """Say what is to be seen."""
        parts: list[Part] = [Words(self.head, "strong")] if self.head else []
        for number, block in enumerate(self.blocks[self.top : self.bottom], self.top):
            if len(block.cells) == 1:
                parts.append(Words(block.cells[0]))
                continue
            row = block.item(f"row-{number}")
            last = parts[-1] if parts else None
            if isinstance(last, Items):
                parts[-1] = Items((*last.items, row))
            else:
                parts.append(Items((row,)))
        if self.top or self.bottom < len(self.blocks):
            parts.append(Words(f"{self.top + 1} to {self.bottom} of {len(self.blocks)}", "soft"))
        parts.append(Buttons(tuple(Item(name, words) for name, words, _ in self.buttons)))
        keys = (("up, down, wheel", "scroll"), ("left, right", "choose a button"), ("Return", "take it"), ("h", "keys"))
        return Page(self.title, tuple(parts), chosen=self.chosen, keys=keys)

    def own(self, event: ScreenEvent) -> Told | None:
        """Scroll, and go through the buttons."""
        if event.kind == "wheel":
            return self._scrolled(-event.button)
        if event.kind != "key":
            return None
        by = {"up": -1, "down": 1, "page-up": -8, "page-down": self.bottom - self.top, "home": -self.top,
              "end": len(self.blocks)}.get(event.key)  # fmt: skip
        if by is not None:
            return self._scrolled(by)
        if event.key in {"left", "right", "tab"}:
            names = [name for name, _, _ in self.buttons]
            at = names.index(self.chosen) if self.chosen in names else 0
            back = event.key == "left" or event.shift
            return replace(self, chosen=names[(at + (-1 if back else 1)) % len(names)])
        return None

    def at_its_end(self) -> Told:
        """Return it scrolled to its last lines."""
        return self._scrolled(len(self.blocks))

    def _scrolled(self, by: int) -> Told:
        most = len(self.blocks) - 1
        while most > 0 and replace(self, top=most - 1).bottom >= len(self.blocks):
            most -= 1
        return replace(self, top=min(max(self.top + by, 0), max(most, 0)))

    def take(self, state: State, row: str) -> State:
        """Do what a button stands for."""
        found = next(((wish,) for name, _, wish in self.buttons if name == row), None)
        if found is None:
            return state  # a row of a table
        return state.back() if found[0] is None else state.wishing(found[0])


@dataclass(frozen=True, slots=True)
class Working(Guarded):
    """A command works; its last line is to be seen, and Escape ends it."""

    title: str
    line: str = ""
    stopping: bool = False
    chosen: str = ""

    def page(self, world: World) -> Page:
        """Say what is to be seen."""
        said = "It is being stopped." if self.stopping else "This takes a while; Escape stops it."
        return Page(self.title, (Words(said), Words(self.line, "soft")), keys=(("Escape", "stop"),))

    def own(self, event: ScreenEvent) -> Working | None:
        """Nothing but Escape is heard."""
        return None

    def take(self, state: State, row: str) -> State:
        """Nothing can be taken."""
        return state

    def escaped(self, state: State) -> State:
        """Ask for the command's end; its page stays until it has ended."""
        return state.instead(replace(self, stopping=True)).wishing(StopChild())


@dataclass(frozen=True, slots=True)
class Confirm:
    """A question before something that is not taken back: what it does, and a button for each answer."""

    title: str
    words: tuple[str, ...]
    buttons: tuple[tuple[str, str, Wish], ...]
    chosen: str = "back"

    def page(self, world: World) -> Page:
        """Say what is to be seen."""
        rows = (*(Item(name, words) for name, words, _ in self.buttons), Item("back", "Back"))
        return Page(self.title, (*map(Words, self.words), Buttons(rows)), chosen=self.chosen)

    def own(self, event: ScreenEvent) -> Confirm | None:
        """Go through the buttons sideways too."""
        if event.kind != "key" or event.key not in {"left", "right"}:
            return None
        names = [*(name for name, _, _ in self.buttons), "back"]
        at = names.index(self.chosen) + (1 if event.key == "right" else -1)
        return replace(self, chosen=names[min(max(at, 0), len(names) - 1)])

    def take(self, state: State, row: str) -> State:
        """Do what a button stands for."""
        below = state.back()
        wish = next((wish for name, _, wish in self.buttons if name == row), None)
        return below if wish is None else below.wishing(wish)
