"""What a form looks like: short labels with their answers under headings, the whole question with the row chosen."""

from __future__ import annotations

from panelwear.screen.form import BACK, CHANGE, LEAVE, STAY, TAKE, Field, Form, grouped
from panelwear.screen.page import Buttons, Item, Items, Page, Part, Room, Words
from panelwear.telling.words import with_capital

KEYS = (
    ("Up, Down, Tab", "another row"),
    ("Left, Right", "another choice"),
    ("Return", "next row; on 'Take all': takes all"),
    ("Backspace", "deletes"),
    ("Escape", "leaves"),
    ("F1", "all keys"),
)
ALL_KEYS = (
    ("Up, Down, Tab", "another row; Home, End, the page keys and the wheel too"),
    ("Left, Right, space", "another choice, where a row has some; its number or first letters too"),
    ("a letter or digit", "begins a new answer in the row"),
    ("Backspace", "deletes what was typed last; with Control all of it"),
    ("Return", "checks the row and goes to the next one; on 'Take all': takes all"),
    ("click", "chooses a row; on its choice: the next one; on a button: takes it"),
    ("Escape", "leaves; asks first where something was typed"),
    ("F1, h, ?", "these keys (F1 alone where something is typed)"),
)
_READ_KEYS = (("Return", "takes the button that is chosen"), ("Arrows", "choose"))
EMPTY = "—"
"""Stands where nothing is answered."""


def page_of(form: Form) -> Page:
    """Compose the page of a form as it stands."""
    if form.helping:
        lines = tuple(Words(does, lead=key) for key, does in ALL_KEYS)
        return Page("Keys", lines, keys=(("Return, Escape, F1", "back to the form"),), room=_room(form))
    match form.stage:
        case "known":
            return _known(form)
        case "costs":
            return _costs(form)
        case "leaving":
            return _leaving(form)
        case _:
            return _fields(form)


def label(field: Field) -> str:
    """A field's label, with its unit."""
    question = field.question
    name = question.label or question.text.split("\n")[0]
    return f"{name} ({question.unit})" if question.unit else name


def last_time(field: Field) -> str:
    """Say what was answered last time where it is something else now; empty where it is not."""
    before = f"{field.question.before} {field.question.unit}".rstrip()
    return f"last time: {before}" if field.changed else ""


def whole_question(field: Field) -> str:
    """The question in full, with what it can be answered with."""
    question = field.question
    choices = f" ({', '.join(question.offered)})" if question.choices else ""
    return " ".join(question.text.split("\n")) + choices


def _item(field: Field, form: Form) -> Item:
    chosen = form.chosen == field.key
    entry = not field.question.choices
    value = field.text if field.text or (chosen and entry) else EMPTY
    if chosen and not entry:
        value = f"< {value} >"
    notes = (whole_question(field), last_time(field))
    return Item(
        field.key,
        label(field),
        value,
        note="; ".join(note for note in notes if note),
        mark=f"changed, was {field.question.before}" if field.changed else "",
        fault=field.fault,
        entry=entry,
    )


def _fields(form: Form) -> Page:
    parts: list[Part] = []
    for name, fields in grouped(form):
        if name:
            parts.append(Words(name, "soft"))
        parts.append(Items(tuple(_item(field, form) for field in fields), brief=True))
    parts.append(Buttons((Item(TAKE, "Take all"),)))
    return Page(form.inquiry.title, tuple(parts), form.chosen, KEYS, _room(form))


def _known(form: Form) -> Page:
    buttons = Buttons((Item(TAKE, "Go on"), Item(CHANGE, "Change an answer")))
    keys = (("Return", "goes on"), ("c", "changes an answer"), ("Escape", "leaves"))
    return Page(form.inquiry.title, (Words(form.inquiry.answered), buttons), form.chosen, keys, _room(form))


def _costs(form: Form) -> Page:
    words = tuple(Words(_sentence(said)) for said in form.said)
    buttons = Buttons((Item(TAKE, "Go on as it is"), Item(BACK, "Back to the answers")))
    keys = (*_READ_KEYS, ("Escape", "back to the answers"))
    return Page("What is not as last time, and what it costs", (*words, buttons), form.chosen, keys, _room(form))


def _leaving(form: Form) -> Page:
    buttons = Buttons((Item(STAY, "Stay"), Item(LEAVE, "Leave")))
    keys = (*_READ_KEYS, ("Escape", "leaves"))
    words = Words("What you typed here is not stored yet and would be lost.", "warning")
    return Page("Leave?", (words, buttons), form.chosen, keys, _room(form))


def _room(form: Form) -> Room:
    return "lit" if form.inquiry.lit else "dark"


def _sentence(said: str) -> str:
    return f"{with_capital(said)}{'' if said.endswith('.') else '.'}"
