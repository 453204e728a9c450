"""What a form looks like: short labels with their answers under headings, the whole question with the row chosen.

Over the rows lie, one at a time: all keys, the choices of a row that has many, what the answers cost, and the question
whether what was typed is to be given up.
"""

from __future__ import annotations

from panelwear.screen.form import BACK, CHANGE, LEAVE, STAY, TAKE, Field, Form, grouped
from panelwear.screen.page import Buttons, Item, Items, Page, Part, Room, Words
from panelwear.telling.words import with_capital

ALL_KEYS = (
    ("Up, Down, Tab", "another row; Home, End, the page keys and the wheel too"),
    ("Left, Right, space", "another choice, where a row has some; its number or first letters too"),
    ("a letter or digit", "begins a new answer in the row"),
    ("Backspace", "deletes what was typed last; with Control all of it"),
    ("Return", "checks the row and goes to the next one; lists many choices; on the last row: takes all"),
    ("click", "chooses a row; on its choice: the next one, or the list of many; on a button: takes it"),
    ("Escape", "leaves; asks first where something was typed"),
    ("F1, h, ?", "these keys (F1 alone where something is typed)"),
)
_READ_KEYS = (("Return", "takes the button that is chosen"), ("Arrows", "choose"))
EMPTY = "—"
"""Stands where nothing is answered."""
SHORT = 12
"""Letters of an answer of last time that stand in the mark of its row; a longer one stands in the note alone."""


def page_of(form: Form) -> Page:
    """Compose the page of a form as it stands."""
    if form.helping:
        lines = tuple(Words(does, lead=key) for key, does in ALL_KEYS)
        return Page("Keys", lines, keys=(("Return, Escape, F1", "back to the form"),), room=_room(form))
    match form.stage:
        case "known":
            return _known(form)
        case "choices":
            return _choices(form)
        case "costs":
            return _costs(form)
        case "leaving":
            return _leaving(form)
        case _:
            return _fields(form)


def label(one: Field) -> str:
    """A field's label, with its unit."""
    question = one.question
    name = question.label or question.text.split("\n")[0]
    return f"{name} ({question.unit})" if question.unit else name


def last_time(one: Field, last: str = "last time") -> str:
    """Say what was answered last time where it is something else now; empty where it is not."""
    before = f"{one.said(one.question.before)} {one.question.unit}".rstrip()
    return f"{last}: {before}" if one.changed else ""


def whole_question(one: Field) -> str:
    """The question in full, with what it can be answered with; where choices say what they do, the one chosen does."""
    question = one.question
    text = " ".join(question.text.split("\n"))
    if question.means:
        return one.means(one.text) or text
    return f"{text} ({', '.join(question.names or question.choices)})" if question.choices else text


def _item(one: Field, form: Form) -> Item:
    chosen = form.chosen == one.key
    entry = not one.question.choices
    value = one.said(one.text) if one.text or (chosen and entry) else EMPTY
    if chosen and not entry:
        value = f"< {value} >"
    notes = (whole_question(one), last_time(one, form.inquiry.last))
    return Item(
        one.key,
        label(one),
        value,
        note="; ".join(note for note in notes if note),
        mark=_mark(one),
        fault=one.fault,
        entry=entry,
    )


def _mark(one: Field) -> str:
    was = one.said(one.question.before)
    told = f"changed, was {was}" if len(was) <= SHORT else "changed"
    return told if one.changed else ""


def _fields(form: Form) -> Page:
    inquiry = form.inquiry
    parts: list[Part] = [Words(inquiry.words, "soft")] if inquiry.words else []
    for name, fields in grouped(form):
        if name:
            parts.append(Words(name, "soft"))
        parts.append(Items(tuple(_item(one, form) for one in fields), brief=True))
    also = (Item(name, words) for name, words in inquiry.also)
    parts.append(Buttons((Item(TAKE, inquiry.done), *also, Item(LEAVE, inquiry.leave))))
    return Page(inquiry.title, tuple(parts), form.chosen, _keys(form), _room(form))


def _keys(form: Form) -> tuple[tuple[str, str], ...]:
    """Say what the keys do; the same at every row, so that nothing moves at the foot."""
    many = any(one.has_many for one in form.fields)
    return (
        ("Up, Down, Tab", "another row"),
        ("Left, Right", "another choice"),
        ("Return", "next row, or its choices" if many else "next row; last: takes all"),
        ("Backspace", "deletes"),
        ("Escape", f"{form.inquiry.leave.lower()} (asks first)"),
        ("F1", "all keys"),
    )


def _known(form: Form) -> Page:
    buttons = Buttons((Item(TAKE, "Go on"), Item(CHANGE, "Change an answer", "c")))
    keys = (("Return", "goes on"), ("c", "changes an answer"), ("Escape", "leaves"))
    return Page(form.inquiry.title, (Words(form.inquiry.answered), buttons), form.chosen, keys, _room(form))


def _choices(form: Form) -> Page:
    one = form.listed
    if one is None:
        return _fields(form)
    rows = tuple(Item(choice, one.said(choice), note=one.means(choice)) for choice in one.question.choices)
    keys = (("Return, click", "takes it"), ("Up, Down", "choose"), ("Escape", "back, with nothing changed"))
    return Page(label(one), (Items(rows),), form.chosen, keys, _room(form))


def _costs(form: Form) -> Page:
    words = tuple(Words(_sentence(said)) for said in form.said)
    buttons = Buttons((Item(TAKE, "Go on as it is"), Item(BACK, "Back to the answers", "b")))
    keys = (*_READ_KEYS, ("Escape, b", "back to the answers"))
    return Page("What is not as last time, and what it costs", (*words, buttons), form.chosen, keys, _room(form))


def _leaving(form: Form) -> Page:
    leave = form.inquiry.leave
    key = leave[:1].lower()
    buttons = Buttons((Item(STAY, "Stay", "s"), Item(LEAVE, leave, key)))
    keys = (*_READ_KEYS, ("s", "stay"), (f"Escape, {key}", leave.lower()))
    words = Words("What you typed here is not stored yet and would be lost.", "warning")
    return Page(f"{leave}?", (words, buttons), form.chosen, keys, _room(form))


def _room(form: Form) -> Room:
    return "lit" if form.inquiry.lit else "dark"


def _sentence(said: str) -> str:
    return f"{with_capital(said)}{'' if said.endswith('.') else '.'}"
