"""What a key means in a run: the same in every wait and prompt. A key that means nothing does nothing."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from panelwear.screen.contract import ScreenEvent
from panelwear.screen.operator import Question, Watch
from panelwear.screen.waiting import goes_on

Order = Literal["", "pause", "keys", "again", "correct"]
"""Pause, show the keys, read this patch again, correct the last typed reading."""
BY_KEY: dict[str, Order] = {"p": "pause", "b": "pause", ".": "pause", "h": "keys", "?": "keys", "f1": "keys",
                           "r": "again"}  # fmt: skip
"""A presenter's remote sends ``b`` or a point where it is to blank the screen, and page-down where it is to go on
(common practice, no source)."""
REMOTE_GO_ON = "page-down"
IN_PROMPTS: tuple[Order, ...] = ("pause", "keys")
TYPED: tuple[Order, ...] = ("pause", "keys", "again", "correct")
TYPED_LETTERS = "bsxy.,+-0123456789"
"""What a typed reading, or a word in its place, may begin with."""
KEYS = (
    "p: pause, the screen goes dim and the readings wait",
    "r: read this patch again; before its first reading the one before",
    "h or ?: these keys",
    "Return, space, a click: go on, where something waits for you",
    "Escape: stop; everything read is stored and can be gone on with",
)
KEYS_TYPED = "Backspace, while nothing is typed, or the word back: correct the reading before"
"""What a meter in the hand adds."""


class AsideError(Exception):
    """Something else was asked for in the middle of a prompt, which is put again afterwards."""

    def __init__(self, order: Order) -> None:
        super().__init__(order)
        self.order = order


def order_of(event: ScreenEvent) -> Order:
    """Return what a key asks for; empty where it asks for nothing."""
    return BY_KEY.get(event.key.lower(), "") if event.kind == "key" and not event.control else ""


def order_in(events: Iterable[ScreenEvent]) -> Order:
    """Return the last order among events."""
    found: Order = ""
    for event in events:
        found = order_of(event) or found
    return found


def lets_go_on(event: ScreenEvent) -> bool:
    """Tell whether an event means: go on; of a remote too. No other key does."""
    return goes_on(event) or (event.kind == "key" and event.key == REMOTE_GO_ON)


def corrects() -> None:
    """Order that the last typed reading be corrected: ``back`` was typed in the place of one."""
    raise AsideError("correct")


class PromptOrders:
    """Follows what is typed into a prompt: a letter is an order only while nothing is typed.

    Args:
        allowed: Orders that may be given here.
        letters: What an answer may begin with; these are never orders.
    """

    def __init__(self, allowed: tuple[Order, ...], letters: str = "") -> None:
        self._allowed = allowed
        self._letters = letters.lower()
        self._typed = 0

    def __call__(self, events: tuple[ScreenEvent, ...]) -> None:
        """Take what happened; ``AsideError`` for an order."""
        for event in events:
            if event.kind == "text":
                self._typed += len(event.text)
            elif event.kind == "key":
                self._key(event)

    def _key(self, event: ScreenEvent) -> None:
        order = order_of(event)
        if event.key == "backspace":
            order = "correct" if not self._typed else ""
            self._typed = 0 if event.control else max(0, self._typed - 1)
        elif event.key == "return":
            self._typed = 0
        elif self._typed or (event.key and event.key in self._letters):
            order = ""
        if order in self._allowed and order:
            raise AsideError(order)


def orders_of(question: Question) -> PromptOrders | None:
    """Return what may be ordered while a question stands; ``None`` where letters are the answer's own."""
    if not question.choices or question.watch is not None:
        return None
    letters = question.choices if question.page is None else [item.value for item in question.page.items]
    return PromptOrders(IN_PROMPTS, "".join(one[:1] for one in letters))


def both(one: Watch, other: Watch) -> Watch:
    """Hand what happens to two, in their order."""

    def watch(events: tuple[ScreenEvent, ...]) -> None:
        one(events)
        other(events)

    return watch
