"""A form: several questions with what is known already, to be gone through back and forth and taken at once.

Before a run, before the by-eye check and on the start screen it is the same one. Records and what changes them; how it
looks is in ``form_page``, what a hand does in ``form_keys``, what a line typed at the terminal does in
``form_terminal``. Nothing is stored before all of it is taken.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from itertools import groupby
from typing import Literal

from panelwear.screen.answers import check_answer
from panelwear.screen.operator import Inquiry, Question

TAKE, CHANGE, BACK, STAY, LEAVE = "go", "change", "back", "stay", "leave"
"""Ids of the buttons; no question has such a key."""
FEW = 3
"""More choices than so many are listed on a page of their own."""

Stage = Literal["known", "fields", "choices", "costs", "leaving", "taken", "left"]
"""``known``: all is answered already; ``choices``: those of one row are listed; ``costs``: what the answers cost is
read; ``leaving``: is it to be given up?"""
ENDED = ("taken", "left")


@dataclass(frozen=True, slots=True)
class Field:
    """One question, and what stands beside it."""

    question: Question
    text: str
    fault: str = ""
    """Why the text is not taken; empty while it is being typed."""
    typed: bool = False
    """Whether a person has set it: it then no longer follows from other rows."""

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

    @property
    def has_many(self) -> bool:
        """Whether its choices are listed on a page of their own."""
        return len(self.question.choices) > FEW

    def said(self, value: str) -> str:
        """Return a value as a person reads it: a choice may have a name."""
        names = dict(zip(self.question.choices, self.question.names, strict=False))
        return names.get(value, value)

    def means(self, value: str) -> str:
        """Return what a choice does; empty where it says so itself."""
        return dict(zip(self.question.choices, self.question.means, strict=False)).get(value, "")


@dataclass(frozen=True, slots=True)
class Form:
    """All of it."""

    inquiry: Inquiry
    fields: tuple[Field, ...]
    """In the order of the page: those of one group together."""
    chosen: str
    """Id of the row or button."""
    stage: Stage = "fields"
    beneath: str = ""
    """Row that is chosen again once the page that lies over the rows is gone."""
    by: str = TAKE
    """Button by which it is taken."""
    fresh: bool = True
    """Nothing was typed since the row was chosen: the next letter begins the answer anew."""
    typed: str = ""
    """Letters typed to find a choice, since the row was chosen."""
    said: tuple[str, ...] = ()
    """What the answers cost, while that is read."""
    helping: bool = False
    """All keys are shown over it."""
    follow: Callable[[Form, str], Form] | None = None
    """Fills rows in that follow from the one that a person has changed."""
    spent: str = field(default="", compare=False)
    """The last key, where it did something by itself: the letter that comes with it is not typed as well."""

    def field(self, key: str) -> Field | None:
        """Find a field."""
        return next((one for one in self.fields if one.key == key), None)

    def put(self, new: Field) -> Form:
        """Put a field in the place of the one with its key; nothing follows from it."""
        return replace(self, fields=tuple(new if one.key == new.key else one for one in self.fields))

    @property
    def at(self) -> Field | None:
        """The field that is chosen; ``None``: a button is, or another page lies over the fields."""
        return self.field(self.chosen) if self.stage == "fields" else None

    @property
    def listed(self) -> Field | None:
        """The field whose choices are listed."""
        return self.field(self.beneath) if self.stage == "choices" else None

    @property
    def is_typing(self) -> bool:
        """Whether letters go into an answer."""
        return self.at is not None and not self.at.question.choices

    @property
    def buttons(self) -> tuple[str, ...]:
        """Ids of the buttons under the fields."""
        return (TAKE, *(name for name, _ in self.inquiry.also), LEAVE)

    @property
    def answers(self) -> dict[str, str]:
        """The answers by key, as they stand."""
        return {question.key: one.text for question in self.inquiry.questions if (one := self.field(question.key))}


def begun(inquiry: Inquiry, follow: Callable[[Form, str], Form] | None = None) -> Form:
    """Begin: on the button that takes all where nothing has to be answered any more, else on the first question."""
    groups = {question.group: None for question in inquiry.questions}
    ordered = sorted(inquiry.questions, key=lambda question: [*groups].index(question.group))
    fields = tuple(Field(question, question.default) for question in ordered)
    known = any(question.before for question in inquiry.questions) or not fields
    missing = any(question.needed and not question.default for question in inquiry.questions)
    stage: Stage = "known" if inquiry.answered else "fields"
    chosen = TAKE if (known and not missing) or inquiry.answered else fields[0].key
    return Form(inquiry, fields, chosen, stage, follow=follow)


def grouped(form: Form) -> list[tuple[str, tuple[Field, ...]]]:
    """Return the fields under their headings."""
    return [(name, tuple(fields)) for name, fields in groupby(form.fields, key=lambda one: one.question.group)]


def with_text(form: Form, key: str, text: str) -> Form:
    """Write a field's text as a person does; what was wrong with the text before is no longer told."""
    one = form.field(key)
    if one is None:
        return form
    written = replace(form.put(replace(one, text=text, fault="", typed=True)), fresh=False)
    return written.follow(written, key) if written.follow is not None else written


def checked(form: Form, key: str) -> Form:
    """Check one field: its text is cleaned, or its fault is told."""
    one = form.field(key)
    return form if one is None else form.put(_checked(one))


def _checked(one: Field) -> Field:
    text = one.text.strip()
    if not text and one.question.needed:
        return replace(one, fault="this is needed")
    try:
        return replace(one, text=check_answer(one.question, text), fault="")
    except ValueError as fault:
        return replace(one, fault=str(fault))


def moved(form: Form, to: str) -> Form:
    """Choose another row; the one that is left is checked."""
    if to == form.chosen:
        return form
    return replace(checked(form, form.chosen), chosen=to, fresh=True, typed="")


def stepped(form: Form, by: int) -> Form:
    """Choose the row after or before, once around: behind the last row come the buttons."""
    rows = [*(one.key for one in form.fields), *form.buttons]
    return moved(form, rows[(rows.index(form.chosen) + by) % len(rows)])


def jumped(form: Form, by: int) -> Form:
    """Choose a row farther on, the first or the button that takes all at the most."""
    rows = [*(one.key for one in form.fields), TAKE]
    at = rows.index(form.chosen) if form.chosen in rows else len(rows) - 1
    return moved(form, rows[min(max(at + by, 0), len(rows) - 1)])


def cycled(form: Form, by: int) -> Form:
    """Choose another of a field's choices, once around; a field that is typed into stays as it is."""
    one = form.at
    if one is None or not one.question.choices:
        return form
    choices = one.question.choices
    at = choices.index(one.text) if one.text in choices else (-1 if by > 0 else 0)
    return with_text(form, one.key, choices[(at + by) % len(choices)])


def listing_choices(form: Form) -> Form:
    """List the choices of the chosen field on a page of their own."""
    one = form.at
    if one is None or not one.question.choices:
        return form
    chosen = one.text if one.text in one.question.choices else one.question.choices[0]
    return replace(form, stage="choices", beneath=one.key, chosen=chosen)


def picked(form: Form, choice: str) -> Form:
    """Take one of the choices that are listed, and go on to the next row."""
    form = opened(form)
    return stepped(with_text(form, form.chosen, choice), 1)


def taken(form: Form, by: str = TAKE) -> Form:
    """Take all: to the first field with a fault where there is one, else to what the answers cost, else to the end."""
    form = replace(form, fields=tuple(map(_checked, form.fields)))
    faulty = next((one.key for one in form.fields if one.fault), "")
    if faulty:
        return replace(form, stage="fields", chosen=faulty, fresh=True)
    if form.stage != "fields":
        return replace(form, stage="taken")
    said = form.inquiry.costs(form.answers)
    return replace(form, stage="costs" if said else "taken", said=said, chosen=TAKE, by=by)


def opened(form: Form) -> Form:
    """Go (back) to the fields."""
    return replace(form, stage="fields", said=(), chosen=form.beneath or TAKE, beneath="", fresh=True, typed="")


def left(form: Form) -> Form:
    """Leave: at once where nothing was typed, else the person is asked; from a page over the fields, back to them.

    From the question too: Escape, pressed again and again, always leads out.
    """
    if form.stage in {"choices", "costs"}:
        return opened(form)
    if form.stage == "fields" and any(one.touched for one in form.fields):
        return replace(form, stage="leaving", beneath=form.chosen if form.at else "", chosen=STAY)
    return replace(form, stage="left")
