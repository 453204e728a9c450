"""A form of the start screen: the same one as before a run (``screen/form.py``), and what its buttons wish."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from panelwear.screen.choosing import Find
from panelwear.screen.contract import ScreenEvent
from panelwear.screen.form import TAKE, Form, begun, opened
from panelwear.screen.form_keys import after
from panelwear.screen.form_page import page_of
from panelwear.screen.operator import Inquiry, Question
from panelwear.screen.page import Page, Words
from panelwear.start.facts import Choice, World
from panelwear.start.state import KEYS, State, Whole, Wish

Make = Callable[[Mapping[str, str]], Wish]
"""Makes what is asked of the edge from the form's answers."""
Follow = Callable[[Form, str], Form]


@dataclass(frozen=True, slots=True)
class FormView(Whole):
    """A form, and what is asked of the edge once one of its buttons has taken it."""

    form: Form
    wishes: Mapping[str, Make]
    """By the button's id."""

    def page(self, world: World) -> Page:
        """Say what is to be seen."""
        page = page_of(self.form)
        if not self.form.helping:
            return page
        room = tuple(Words(does, lead=key) for key, does in KEYS if key == "F2")
        return replace(page, parts=(*page.parts, *room))

    def heard(self, state: State, event: ScreenEvent, find: Find) -> State:
        """Work one event in; a form that is taken stays, in case its answers have to be put right."""
        form = after(self.form, event, find)
        if form.stage == "left":
            return state.back()
        if form.stage == "taken":
            return state.instead(replace(self, form=opened(form))).wishing(self.wishes[form.by](form.answers))
        return state.instead(replace(self, form=form))


@dataclass(frozen=True, slots=True)
class Button:
    """What takes a form: its words, and what it wishes."""

    says: str
    make: Make


def form_view(
    title: str,
    questions: tuple[Question, ...],
    done: Button,
    *,
    words: str = "",
    also: Mapping[str, Button] | None = None,
    follow: Follow | None = None,
) -> FormView:
    """Make a form of the start screen.

    Args:
        title: Of the page.
        questions: Its rows, in their order.
        done: The button that takes it.
        words: What is to be known for all of it, above the rows.
        also: Further buttons that take it, by their ids.
        follow: Fills rows in that follow from the one that was changed.
    """
    more = also or {}
    said = tuple((name, button.says) for name, button in more.items())
    inquiry = Inquiry(questions, title, words=words, done=done.says, also=said, leave="Back", last="filled in")
    form = begun(inquiry, follow)
    first = replace(form, chosen=form.fields[0].key)  # what may be begun by it is gone through first
    return FormView(first, {TAKE: done.make, **{name: button.make for name, button in more.items()}})


def choice_question(
    key: str, label: str, choices: tuple[Choice, ...], value: str = "", *, text: str = "", needed: bool = False
) -> Question:
    """Make a row whose value is one of several; without any it is typed in.

    Args:
        key: Of the row.
        label: What it asks for.
        choices: With their names and what they mean.
        value: Which is filled in; empty: none.
        text: What is said of it while none is chosen.
        needed: Whether one has to be.
    """
    return Question(
        key,
        text,
        value,
        tuple(one.value for one in choices),
        means=tuple(one.note for one in choices),
        names=tuple(one.label for one in choices),
        label=label,
        before=value,
        needed=needed,
    )


def asked_anew(form: Form, key: str, **changed: object) -> Form:
    """Return the form with other terms of one row's question; what was wrong before is no longer told."""
    one = form.field(key)
    if one is None:
        return form
    return form.put(replace(one, question=replace(one.question, **changed), fault=""))  # type: ignore[arg-type]
