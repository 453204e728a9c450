"""The same form on the terminal: a numbered list of all answers; a number changes one, Return takes all."""

from __future__ import annotations

from dataclasses import dataclass, replace

from panelwear.screen.form import (
    ENDED,
    LEAVE,
    TAKE,
    Field,
    Form,
    checked,
    grouped,
    left,
    moved,
    opened,
    taken,
    with_text,
)
from panelwear.screen.form_page import EMPTY, label, last_time, whole_question

HELP = {"?", "h", "help"}
BACK = {"b", "back"}
CHANGE = {"c", "change"}


@dataclass(frozen=True, slots=True)
class Talk:
    """The form, and which of its answers the next line is for."""

    form: Form
    asking: str = ""
    """Key of the question whose answer is typed; empty: a number is chosen, or all is taken."""


def listing(form: Form, *, whole: bool = False) -> list[str]:
    """List all answers with their numbers; ``whole``: the questions in full."""
    names = [whole_question(field) if whole else label(field) for field in form.fields]
    width = max((len(name) for name in names), default=0)
    lines, number = [form.inquiry.title], 0
    for group, fields in grouped(form):
        lines += [f"  {group}"] if group else []
        for field in fields:
            lines.append(_row(field, number + 1, names[number].ljust(width)))
            number += 1
    return lines


def _row(field: Field, number: int, name: str) -> str:
    marks = "; ".join(mark for mark in ("changed" if field.changed else "", last_time(field), field.fault) if mark)
    return f"  {number:>3}  {name}  {field.said(field.text) or EMPTY:<12}  {marks}".rstrip()


def begin(form: Form) -> list[str]:
    """Say what stands at the beginning."""
    return [form.inquiry.answered] if form.stage == "known" else listing(form)


def prompt(talk: Talk) -> str:
    """Ask for the next line."""
    form = talk.form
    match form.stage:
        case "known":
            return "Return goes on, 'c' changes an answer:"
        case "costs":
            return "Return goes on as it is, 'b' goes back to the answers:"
        case "leaving":
            return "What was typed is not stored yet. Return stays, 'leave' leaves:"
        case _:
            field = form.field(talk.asking)
            if field is not None:
                kept = f" [{field.text}]" if field.text else ""
                return f"{whole_question(field)}{f' ({field.question.unit})' if field.question.unit else ''}{kept}:"
            return "Return takes all; a number changes that answer ('3', or '3 60'); '?' lists the questions in full:"


def after_line(talk: Talk, line: str) -> tuple[Talk, list[str]]:
    """Work one typed line into the form.

    Returns:
        The form after it, and what is to be said.
    """
    form, word = talk.form, line.strip()
    if form.stage in ENDED:
        return talk, []
    if form.stage == "choices":  # listed on the screen alone: here every answer is typed
        form = opened(form)
        talk = replace(talk, form=form)
    if form.stage == "fields":
        return _answered(talk, word) if talk.asking else _chosen(form, word)
    if word == "":
        form = taken(form) if form.stage in {"known", "costs"} else opened(form)
    elif form.stage == "leaving":
        form = replace(form, stage="left") if word.casefold() == LEAVE else form
    elif word.casefold() in (CHANGE if form.stage == "known" else BACK):
        form = opened(form)
    else:
        return talk, [f"'{word}' means nothing here"]
    return Talk(form), listing(form) if form.stage == "fields" else []


def _answered(talk: Talk, word: str) -> tuple[Talk, list[str]]:
    """Take a typed answer; an empty one leaves what stands there."""
    if word == "":
        return Talk(talk.form), []
    tried = checked(with_text(talk.form, talk.asking, word), talk.asking)
    field = tried.field(talk.asking)
    if field is None or field.fault:
        return talk, [f"  {field.fault if field is not None else ''}"]
    return Talk(moved(replace(tried, fresh=True), TAKE)), [_row(field, _number_of(tried, field), label(field))]


def _chosen(form: Form, word: str) -> tuple[Talk, list[str]]:
    if word == "":
        return _taken(form)
    if word.casefold() in HELP:
        return Talk(form), listing(form, whole=True)
    if word.casefold() == LEAVE:
        return Talk(left(form)), []
    number, _, answer = word.partition(" ")
    if not (number.isascii() and number.isdecimal() and 1 <= int(number) <= len(form.fields)):
        return Talk(form), [f"'{word}' is no number from 1 to {len(form.fields)}; nothing was changed"]
    talk = Talk(form, form.fields[int(number) - 1].key)
    return _answered(talk, answer.strip()) if answer.strip() else (talk, [])


def _taken(form: Form) -> tuple[Talk, list[str]]:
    form = taken(form)
    if form.stage == "costs":
        return Talk(form), [*form.said]
    faulty = [field for field in form.fields if field.fault]
    return Talk(form), [_row(field, _number_of(form, field), label(field)) for field in faulty]


def _number_of(form: Form, field: Field) -> int:
    return [one.key for one in form.fields].index(field.key) + 1
