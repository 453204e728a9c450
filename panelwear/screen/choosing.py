"""What a hand does on a page: arrows and the mouse choose, Return and a click take; nothing else happens by them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from panelwear.screen.contract import ScreenEvent
from panelwear.screen.page import Page

STEPS = {"up": -1, "down": 1, "page-up": -8, "page-down": 8}
Find = Callable[[int, int], str]
"""Names the row at a pixel of the page that is on; empty: none."""


@dataclass(frozen=True, slots=True)
class Choice:
    """What one event did: which row is chosen now, and whether it was taken."""

    chosen: str
    taken: bool = False


def chosen_after(page: Page, event: ScreenEvent, find: Find) -> Choice:
    """Work one event into the choice of a page.

    Up and down go through all rows that can be taken, the wheel too; Tab and Shift-Tab likewise; Home and End go to the
    first and last. The mouse chooses what it is over, a click takes it, a click beside all rows does nothing.
    """
    rows = [item.id for item in page.items if item.enabled]
    if not rows:
        return Choice(page.chosen)
    at = rows.index(page.chosen) if page.chosen in rows else -1
    if event.kind in {"pointer-move", "pointer-down"}:
        over = find(event.x, event.y)
        if over not in rows:
            return Choice(page.chosen)
        return Choice(over, taken=event.kind == "pointer-down" and event.button == 1)
    if event.kind == "wheel":
        return Choice(rows[_moved(at, -event.button, len(rows))])
    if event.kind != "key":
        return Choice(page.chosen)
    return _by_key(event, rows, at, page.chosen)


def _by_key(event: ScreenEvent, rows: list[str], at: int, chosen: str) -> Choice:
    if event.key == "return":
        return Choice(chosen, taken=at >= 0)
    if event.key == "home":
        return Choice(rows[0])
    if event.key == "end":
        return Choice(rows[-1])
    if event.key == "tab":
        return Choice(rows[(at + (-1 if event.shift else 1)) % len(rows)])
    if event.key in STEPS:
        return Choice(rows[_moved(at, STEPS[event.key], len(rows))])
    return Choice(chosen)


def _moved(at: int, by: int, rows: int) -> int:
    return min(max(at + by, 0), rows - 1)
