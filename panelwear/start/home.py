"""The person's own folder on a page is ``~``: short, and what one would type."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from panelwear.screen.page import Buttons, Item, Items, Page, Part, Words

Change = Callable[[str], str]


def shown(text: str, home: str) -> str:
    """Write the person's own folder as ``~`` wherever a path of the text begins with it.

    Args:
        text: as it would be said.
        home: the person's own folder; empty or the root: nothing is changed.
    """
    if len(home) < 2:
        return text
    return re.sub(rf"(?<![\w./~-]){re.escape(home)}(?![\w.-])", "~", text)


def shown_page(page: Page, home: str) -> Page:
    """Return a page with every path so written; what a person types stays as typed."""

    def change(text: str) -> str:
        return shown(text, home)

    return replace(page, title=change(page.title), parts=tuple(_part(part, change) for part in page.parts))


def _part(part: Part, change: Change) -> Part:
    if isinstance(part, Words):
        return replace(part, text=change(part.text))
    if isinstance(part, Items | Buttons):
        return replace(part, items=tuple(_item(item, change) for item in part.items))
    return part


def _item(item: Item, change: Change) -> Item:
    value = item.value if item.entry else change(item.value)
    return replace(item, label=change(item.label), value=value, note=change(item.note), fault=change(item.fault))


def meant(text: str, home: str) -> str:
    """Write a path, or an option with one, out that was typed with ``~``: no shell does that for us."""
    return re.sub(r"^((?:--[\w-]+=)?)~(?=/|$)", lambda found: f"{found[1]}{home}", text)
