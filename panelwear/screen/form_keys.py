"""What a hand does on a form: rows are chosen and filled in, a wrong key does nothing that cannot be undone.

The mouse chooses by a click alone, never by lying over a row: a nudge must not send what is typed into another row.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace

from panelwear.screen.answers import check_answer
from panelwear.screen.choosing import STEPS, Find
from panelwear.screen.contract import ScreenEvent
from panelwear.screen.form import (
    BACK,
    CHANGE,
    ENDED,
    LEAVE,
    STAY,
    TAKE,
    Field,
    Form,
    cycled,
    jumped,
    left,
    listing_choices,
    moved,
    opened,
    picked,
    stepped,
    taken,
    with_text,
)
from panelwear.screen.form_page import page_of
from panelwear.screen.taking import worked
from panelwear.screen.waiting import clicked

MOST_TYPED = 400
"""Characters of one answer; a path may be long."""

_DO: dict[str, Callable[[Form], Form]] = {
    TAKE: taken,
    CHANGE: opened,
    BACK: opened,
    STAY: opened,
    LEAVE: lambda form: replace(form, stage="left"),
}
"""What the buttons of a page do that lies over the rows."""


def after(form: Form, event: ScreenEvent, find: Find) -> Form:
    """Work one event into a form.

    Args:
        form: As it stands.
        event: What happened.
        find: Names the row at a pixel of the page that is on.
    """
    if form.stage in ENDED:
        return form
    if event.kind == "text" and event.text.casefold() == form.spent:
        return replace(form, spent="")
    done = _after(form, event, find)
    if event.kind != "key":
        return done
    changed = (done.stage, done.helping) != (form.stage, form.helping)
    return replace(done, spent=event.key.casefold() if changed and len(event.key) == 1 else "")


def _after(form: Form, event: ScreenEvent, find: Find) -> Form:
    if event.kind == "quit":
        return replace(form, stage="left")
    if form.helping:
        return replace(form, helping=not _closes_help(form, event))
    if _asks_help(form, event):
        return replace(form, helping=True)
    if event.stops:
        return left(form)
    return _on_fields(form, event, find) if form.stage == "fields" else _over_fields(form, event, find)


def _asks_help(form: Form, event: ScreenEvent) -> bool:
    """Tell whether all keys are asked for: by F1, and by h and ? where they are no letters of an answer."""
    if event.kind != "key":
        return False
    begins = {form.at.said(one)[:1].casefold() for one in form.at.question.choices} if form.at is not None else set()
    return event.key == "f1" or (event.key in {"h", "?"} - begins and not form.is_typing)


def _closes_help(form: Form, event: ScreenEvent) -> bool:
    """Tell whether the keys go away; by no letter that would be typed into the answer beneath."""
    return clicked(event) or (event.kind == "key" and event.key in {"escape", "return"}) or _asks_help(form, event)


def _on_fields(form: Form, event: ScreenEvent, find: Find) -> Form:
    match event.kind:
        case "text":
            return _written(form, "".join(c for c in event.text if c.isprintable()))
        case "key" if event.key in _KEYS:
            return _KEYS[event.key](form, event)
        case "wheel":
            return jumped(form, -event.button)
        case "pointer-down" if event.button == 1:
            return _clicked(form, find(event.x, event.y))
        case _:
            return form


def _over_fields(form: Form, event: ScreenEvent, find: Find) -> Form:
    """Choose on a page that lies over the rows; left and right go through its buttons too."""
    if event.kind == "key" and event.key in {"left", "right"} and form.listed is None:
        event = replace(event, key="up" if event.key == "left" else "down")
    page, row = worked(page_of(form), event, find)
    form = replace(form, chosen=page.chosen)
    if not row:
        return form
    return picked(form, row) if form.listed is not None else _DO[row](form)


def _clicked(form: Form, row: str) -> Form:
    """Choose the row that was clicked; what was typed into another stays there."""
    if row in form.buttons:
        return _pressed(form, row)
    one = form.field(row)
    if one is None:
        return form
    if one.has_many:
        return listing_choices(moved(form, row))
    return cycled(form, 1) if row == form.chosen else moved(form, row)


def _pressed(form: Form, button: str) -> Form:
    if button == LEAVE:
        return left(form)
    return taken(moved(form, button), button)


def _returned(form: Form) -> Form:
    """Go to the next row, unless what stands in this one is not taken; on the last row and the button take all."""
    one = form.at
    if one is None:
        return _pressed(form, form.chosen)
    if one.has_many:
        return listing_choices(form)
    further = stepped(form, 1)
    found = further.field(one.key)
    if found is not None and found.fault:
        return replace(further, chosen=one.key)
    return taken(further) if further.chosen == TAKE else further


def _sideways(form: Form, by: int) -> Form:
    """Choose another of a row's choices, or another button."""
    if form.chosen not in form.buttons:
        return cycled(form, by)
    at = form.buttons.index(form.chosen) + by
    return moved(form, form.buttons[min(max(at, 0), len(form.buttons) - 1)])


def _written(form: Form, text: str) -> Form:
    one = form.at
    if one is None or not text:
        return form
    if one.question.choices:
        return _found(form, one, text)
    whole = text if form.fresh else one.text + text
    return with_text(form, one.key, whole[:MOST_TYPED])


def _found(form: Form, one: Field, text: str) -> Form:
    """Choose by number or by the letters typed so far; a letter that fits none of them begins anew or does nothing."""
    for typed in (form.typed + text, text):
        with suppress(ValueError):
            return replace(with_text(form, one.key, check_answer(one.question, typed)), typed=typed)
    return form


def _deleted(form: Form, *, all_of_it: bool) -> Form:
    """Delete a letter, or all; of a choice: back to what the form began with."""
    one = form.at
    if one is None:
        return form
    if one.question.choices:
        return with_text(form, one.key, one.question.default)
    return with_text(form, one.key, "" if all_of_it else one.text[:-1])


_KEYS: dict[str, Callable[[Form, ScreenEvent], Form]] = {
    "return": lambda form, _: _returned(form),
    "down": lambda form, _: stepped(form, 1),
    "up": lambda form, _: stepped(form, -1),
    "tab": lambda form, event: stepped(form, -1 if event.shift else 1),
    "home": lambda form, _: jumped(form, -len(form.fields)),
    "end": lambda form, _: jumped(form, len(form.fields)),
    "page-up": lambda form, _: jumped(form, STEPS["page-up"]),
    "page-down": lambda form, _: jumped(form, STEPS["page-down"]),
    "right": lambda form, _: _sideways(form, 1),
    "left": lambda form, _: _sideways(form, -1),
    "space": lambda form, _: cycled(form, 1),
    "backspace": lambda form, event: _deleted(form, all_of_it=event.control),
}
"""Keys of the rows."""
