"""A form: all questions of an evening with last time's answers, to be gone through back and forth and taken at once.

Records and what changes them; how it looks is in ``form_page``, what a hand does in ``form_keys``, what a line typed at
the terminal does in ``form_terminal``. Nothing is stored before all of it is taken.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import groupby
from typing import Literal

from panelwear.screen.answers import check_answer
from panelwear.screen.operator import Inquiry, Question

TAKE, CHANGE, BACK, STAY, LEAVE = "take", "change", "back", "stay", "leave"
"""Ids of the buttons; no question has such a key."""

Stage = Literal["known", "fields", "costs", "leaving", "taken", "left"]
"""``known``: all is answered already; ``costs``: what the answers cost is read; ``leaving``: is it to be given up?"""
ENDED = ("taken", "left")


@dataclass(frozen=True, slots=True)
class Field:
    """One question, and what stands beside it."""

    question: Question
    text: str
    fault: str = ""
    """Why the text is not taken; empty while it is being typed."""

    @property
    def key(self) -> str:
        """Of the question."""
        return self.question.key

    @property
    def changed(self) -> bool:
        """Whether it is another answer than last time, where last time's says something about today."""
        return self.question.before not in {"", self.text}

    @property
    def touched(self) -> bool:
        """Whether it is another text than the form began with."""
        return self.text != self.question.default


@dataclass(frozen=True, slots=True)
class Form:
    """All of it."""

    inquiry: Inquiry
    fields: tuple[Field, ...]
    """In the order of the page: those of one group together."""
    chosen: str
    """Id of the row or button."""
    stage: Stage = "fields"
    fresh: bool = True
    """Nothing was typed since the row was chosen: the next letter begins the answer anew."""
    typed: str = ""
    """Letters typed to find a choice, since the row was chosen."""
    said: tuple[str, ...] = ()
    """What the answers cost, while that is read."""
    helping: bool = False
    """All keys are shown over it."""

    def field(self, key: str) -> Field | None:
        """Find a field."""
        return next((field for field in self.fields if field.key == key), None)

    @property
    def at(self) -> Field | None:
        """The field that is chosen; ``None``: a button is."""
        return self.field(self.chosen)

    @property
    def is_typing(self) -> bool:
        """Whether letters go into an answer."""
        return self.stage == "fields" and self.at is not None and not self.at.question.choices

    @property
    def answers(self) -> dict[str, str]:
        """The answers by key, as they stand."""
        return {question.key: field.text for question in self.inquiry.questions if (field := self.field(question.key))}


def begun(inquiry: Inquiry) -> Form:
    """Begin: on the button that takes all where there are answers of last time, else on the first question."""
    groups = {question.group: None for question in inquiry.questions}
    ordered = sorted(inquiry.questions, key=lambda question: [*groups].index(question.group))
    fields = tuple(Field(question, question.default) for question in ordered)
    known = any(question.before for question in inquiry.questions) or not fields
    stage: Stage = "known" if inquiry.answered else "fields"
    return Form(inquiry, fields, TAKE if known or inquiry.answered else fields[0].key, stage)


def grouped(form: Form) -> list[tuple[str, tuple[Field, ...]]]:
    """Return the fields under their headings."""
    return [(name, tuple(fields)) for name, fields in groupby(form.fields, key=lambda field: field.question.group)]


def with_text(form: Form, key: str, text: str) -> Form:
    """Write a field's text; what was wrong with the text before is no longer told."""
    fields = tuple(replace(field, text=text, fault="") if field.key == key else field for field in form.fields)
    return replace(form, fields=fields, fresh=False)


def checked(form: Form, key: str) -> Form:
    """Check one field: its text is cleaned, or its fault is told."""
    field = form.field(key)
    if field is None:
        return form
    found = _checked(field)
    return replace(form, fields=tuple(found if one.key == key else one for one in form.fields))


def _checked(field: Field) -> Field:
    try:
        return replace(field, text=check_answer(field.question, field.text.strip()), fault="")
    except ValueError as fault:
        return replace(field, fault=str(fault))


def moved(form: Form, to: str) -> Form:
    """Choose another row; the one that is left is checked."""
    if to == form.chosen:
        return form
    return replace(checked(form, form.chosen), chosen=to, fresh=True, typed="")


def stepped(form: Form, by: int) -> Form:
    """Choose the row after or before, once around: behind the last row comes the button."""
    rows = [*(field.key for field in form.fields), TAKE]
    at = rows.index(form.chosen) if form.chosen in rows else len(rows) - 1
    return moved(form, rows[(at + by) % len(rows)])


def cycled(form: Form, by: int) -> Form:
    """Choose another of a field's choices; a field that is typed into stays as it is."""
    field = form.at
    if field is None or not field.question.choices:
        return form
    choices = field.question.choices
    at = choices.index(field.text) if field.text in choices else (-1 if by > 0 else 0)
    return with_text(form, field.key, choices[(at + by) % len(choices)])


def taken(form: Form) -> Form:
    """Take all: to the first field with a fault where there is one, else to what the answers cost, else to the end."""
    form = replace(form, fields=tuple(_checked(field) for field in form.fields))
    faulty = next((field.key for field in form.fields if field.fault), "")
    if faulty:
        return replace(form, stage="fields", chosen=faulty, fresh=True)
    said = form.inquiry.costs(form.answers)
    if said and form.stage == "fields":
        return replace(form, stage="costs", said=said, chosen=TAKE)
    return replace(form, stage="taken", said=said)


def opened(form: Form) -> Form:
    """Go (back) to the fields."""
    return replace(form, stage="fields", said=(), chosen=TAKE, fresh=True)


def left(form: Form) -> Form:
    """Leave: at once where nothing was typed, else the person is asked; from what the answers cost, back to them."""
    if form.stage == "costs":
        return opened(form)
    if form.stage == "fields" and any(field.touched for field in form.fields):
        return replace(form, stage="leaving", chosen=STAY)
    return replace(form, stage="left")
