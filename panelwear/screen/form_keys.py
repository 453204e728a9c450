"""What a hand does on a form: rows are chosen and filled in, a wrong key does nothing that cannot be undone.

The mouse chooses by a click alone, never by lying over a row: a nudge must not send what is typed into another row.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace

from panelwear.screen.answers import check_answer
from panelwear.screen.choosing import Find, chosen_after
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
    left,
    moved,
    opened,
    stepped,
    taken,
    with_text,
)
from panelwear.screen.form_page import page_of
from panelwear.screen.waiting import clicked

MOST_TYPED = 200
"""Characters of one answer."""

_DO: dict[str, Callable[[Form], Form]] = {
    TAKE: taken,
    CHANGE: opened,
    BACK: opened,
    STAY: opened,
    LEAVE: lambda form: replace(form, stage="left"),
}


def after(form: Form, event: ScreenEvent, find: Find) -> Form:
    """Work one event into a form.

    Args:
        form: As it stands.
        event: What happened.
        find: Names the row at a pixel of the page that is on.
    """
    if form.helping and event.kind != "quit":
        return replace(form, helping=not _closes_help(form, event))
    if _asks_help(form, event):
        return replace(form, helping=True)
    if event.stops and form.stage not in ENDED:
        return replace(form, stage="left") if event.kind == "quit" or form.stage == "leaving" else left(form)
    if event.kind == "pointer-down" and form.stage not in ENDED:
        return _clicked(form, event, find)
    if form.stage == "fields":
        return _on_fields(form, event, find)
    return form if form.stage in ENDED else _on_buttons(form, event, find)


def _asks_help(form: Form, event: ScreenEvent) -> bool:
    """Tell whether all keys are asked for: by F1, and by h and ? where they are no letters of an answer."""
    if event.kind != "key" or form.stage in ENDED:
        return False
    begins = {choice[:1].casefold() for choice in form.at.question.choices} if form.at is not None else set()
    return event.key == "f1" or (event.key in {"h", "?"} - begins and not form.is_typing)


def _closes_help(form: Form, event: ScreenEvent) -> bool:
    """Tell whether the keys go away; by no letter that would be typed into the answer beneath."""
    return clicked(event) or (event.kind == "key" and event.key in {"escape", "return"}) or _asks_help(form, event)


def _on_fields(form: Form, event: ScreenEvent, find: Find) -> Form:
    if event.kind == "text":
        return _written(form, "".join(c for c in event.text if c.isprintable()))
    if event.kind == "key" and event.key in _KEYS:
        return _KEYS[event.key](form, event)
    if event.kind in {"key", "wheel"}:
        return moved(form, chosen_after(page_of(form), event, find).chosen)
    return form


def _on_buttons(form: Form, event: ScreenEvent, find: Find) -> Form:
    """Choose among the buttons of a page that is read; left and right go through them too."""
    if event.kind == "key" and event.key == "c" and form.stage == "known":
        return opened(form)
    if event.kind == "key" and event.key in {"left", "right"}:
        event = replace(event, key="up" if event.key == "left" else "down")
    choice = chosen_after(page_of(form), event, find)
    form = replace(form, chosen=choice.chosen)
    return _DO[choice.chosen](form) if choice.taken and choice.chosen in _DO else form


def _clicked(form: Form, event: ScreenEvent, find: Find) -> Form:
    row = find(event.x, event.y)
    if event.button != 1 or page_of(form).item(row) is None:
        return form
    if row in _DO:
        return _DO[row](moved(form, row))
    return cycled(form, 1) if row == form.chosen else moved(form, row)


def _returned(form: Form) -> Form:
    """Go to the next row, unless what stands in this one is not taken; on the button take all."""
    if form.chosen == TAKE:
        return taken(form)
    further = stepped(form, 1)
    field = further.field(form.chosen)
    return replace(further, chosen=form.chosen) if field is not None and field.fault else further


def _written(form: Form, text: str) -> Form:
    field = form.at
    if field is None or not text:
        return form
    if field.question.choices:
        return _found(form, field, text)
    whole = text if form.fresh else field.text + text
    return with_text(form, field.key, whole[:MOST_TYPED])


def _found(form: Form, field: Field, text: str) -> Form:
    """Choose by number or by the letters typed so far; a letter that fits none of them begins anew or does nothing."""
    for typed in (form.typed + text, text):
        with suppress(ValueError):
            return replace(with_text(form, field.key, check_answer(field.question, typed)), typed=typed)
    return form


def _deleted(form: Form, *, all_of_it: bool) -> Form:
    """Delete a letter, or all; of a choice: back to what the form began with."""
    field = form.at
    if field is None:
        return form
    if field.question.choices:
        return with_text(form, field.key, field.question.default)
    return with_text(form, field.key, "" if all_of_it else field.text[:-1])


_KEYS: dict[str, Callable[[Form, ScreenEvent], Form]] = {
    "return": lambda form, _: _returned(form),
    "down": lambda form, _: stepped(form, 1),
    "up": lambda form, _: stepped(form, -1),
    "tab": lambda form, event: stepped(form, -1 if event.shift else 1),
    "right": lambda form, _: cycled(form, 1),
    "left": lambda form, _: cycled(form, -1),
    "space": lambda form, _: cycled(form, 1),
    "backspace": lambda form, event: _deleted(form, all_of_it=event.control),
}
"""Keys that a form has a meaning of its own for; Home, End and the page keys choose as on every page."""
