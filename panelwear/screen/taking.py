"""Waiting on a page: a row is taken by its own letter, by Return or a click, or at the terminal."""

from __future__ import annotations

from dataclasses import replace

from panelwear.screen.choosing import Find, chosen_after
from panelwear.screen.contract import ScreenEvent
from panelwear.screen.page import Page, Words


def worked(page: Page, event: ScreenEvent, find: Find) -> tuple[Page, str]:
    """Work one event into a page; returns the page with what is chosen now, and the id of the row that was taken.

    A row whose ``value`` is a single character is taken by that key.
    """
    if event.kind == "key" and not event.control:
        own = [item.id for item in page.items if item.enabled and item.value.lower() == event.key.lower()]
        if own and len(event.key) == 1:
            return replace(page, chosen=own[0]), own[0]
    choice = chosen_after(page, event, find)
    moved = page if choice.chosen == page.chosen else replace(page, chosen=choice.chosen)
    return moved, choice.chosen if choice.taken else ""


def taken_by_line(page: Page, line: str) -> str:
    """Return the row a line typed at the terminal takes: its letter, label or id; an empty one what is chosen."""
    said = line.strip().casefold()
    if not said:
        return page.chosen
    rows = [item for item in page.items if item.enabled]
    names = {item.id: {one.casefold() for one in (item.value, item.label, item.id)} for item in rows}
    return next((row for row, called in names.items() if said in called), "")


def as_line(page: Page) -> str:
    """Write a page as lines for the terminal, with what may be answered."""
    parts = [part for part in page.parts if isinstance(part, Words)]
    words = [f"{part.lead}: {part.text}" if part.lead else part.text for part in parts]
    return "\n".join([page.title, *words, rows_line(page)])


def rows_line(page: Page) -> str:
    """Write what may be answered: "[r Read again / s Stop here]:"."""
    rows = " / ".join(f"{item.value} {item.label}".strip() for item in page.items if item.enabled)
    return f"[{rows}]:"
