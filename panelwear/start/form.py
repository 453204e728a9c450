"""A form of the start screen: rows that are typed into or picked, checked at once, and a button that takes all."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from panelwear.screen.contract import ScreenEvent
from panelwear.screen.page import Buttons, Item, Items, Page, Part, Words
from panelwear.start.facts import Choice, World
from panelwear.start.state import State, Wish

LONGEST = 400
"""Characters a row takes; a path may be long."""
GO, BACK = "go", "back"


@dataclass(frozen=True, slots=True)
class Field:
    """One row of a form."""

    id: str
    label: str
    value: str = ""
    note: str = ""
    choices: tuple[Choice, ...] = ()
    """None: it is typed into."""
    needed: bool = False
    check: Callable[[str], str] | None = None
    """Says in a sentence what is wrong with what was typed, or nothing."""
    typed: bool = False
    """Whether a person has set it: it then no longer follows from other rows."""

    @property
    def fault(self) -> str:
        """What is wrong with the value."""
        if not self.value.strip():
            return "this is needed" if self.needed else ""
        return self.check(self.value.strip()) if self.check is not None else ""

    @property
    def said(self) -> str:
        """The value as a person reads it."""
        return next((one.label for one in self.choices if one.value == self.value), self.value)

    def stepped(self, by: int) -> Field:
        """Return it with the next choice, or the one before."""
        values = [one.value for one in self.choices]
        at = values.index(self.value) if self.value in values else -1
        return replace(self, value=values[min(max(at + by, 0), len(values) - 1)], typed=True)


@dataclass(frozen=True, slots=True)
class Form:
    """A form; ``wish`` makes what is asked of the edge from its values."""

    title: str
    fields: tuple[Field, ...]
    done: str
    """What the button says that takes the form."""
    wish: Callable[[Mapping[str, str]], Wish]
    also: tuple[tuple[str, str, Callable[[Mapping[str, str]], Wish]], ...] = ()
    """Further buttons: id, words, and what they ask for."""
    words: str = ""
    follow: Callable[[Form, str], Form] | None = None
    """Fills rows in that follow from the one that was changed."""
    chosen: str = ""
    tried: bool = False
    """Whether it was to be taken already: from then on rows that are missing are said too."""

    @property
    def values(self) -> dict[str, str]:
        """What stands in the rows, without spaces round it."""
        return {field.id: field.value.strip() for field in self.fields}

    def field(self, name: str) -> Field | None:
        """Find a row; ``None`` for a button."""
        return next((field for field in self.fields if field.id == name), None)

    def changed(self, name: str, new: Field) -> Form:
        """Return the form with one row changed by a person, and what follows from it."""
        changed = self.filled(name, new)
        return changed.follow(changed, name) if changed.follow is not None else changed

    def filled(self, name: str, new: Field) -> Form:
        """Return the form with one row in another's place; nothing follows."""
        return replace(self, fields=tuple(new if field.id == name else field for field in self.fields))

    def page(self, world: World) -> Page:
        """Say what is to be seen."""
        rows = Items(tuple(self._row(field) for field in self.fields), brief=True)
        buttons = (Item(GO, self.done), *(Item(name, words) for name, words, _ in self.also), Item(BACK, "Back"))
        head: tuple[Part, ...] = (Words(self.words, "soft"),) if self.words else ()
        keys = (("Return", "next row"), ("left, right", "choose"), ("Escape", "back"), ("F1", "all keys"))
        return Page(self.title, (*head, rows, Buttons(buttons)), chosen=self.chosen or self.fields[0].id, keys=keys)

    def _row(self, field: Field) -> Item:
        picked = next((one for one in field.choices if one.value == field.value), None)
        note = picked.note if picked is not None and picked.note else field.note
        fault = field.fault if self.tried or field.value.strip() else ""
        return Item(field.id, field.label, value=field.said, note=note, fault=fault, entry=not field.choices)

    def own(self, event: ScreenEvent) -> Form | None:
        """Type, delete, step through choices."""
        field = self.field(self.chosen or self.fields[0].id)
        if field is None:
            return None
        if event.kind == "key" and event.key == "return" and not field.choices:
            return replace(self, chosen=self._below(field.id))  # a click on the row only chooses it
        if field.choices:
            if event.kind == "key" and event.key in {"left", "right"}:
                return self.changed(field.id, field.stepped(1 if event.key == "right" else -1))
            return None
        if event.kind == "text":
            kept = field.value + "".join(c for c in event.text if c.isprintable())
        elif event.kind == "key" and event.key == "backspace":
            kept = "" if event.control else field.value[:-1]
        else:
            return None
        return self.changed(field.id, replace(field, value=kept[:LONGEST], typed=True))

    def take(self, state: State, row: str) -> State:
        """Pick, or take the form; a row that is typed into is only chosen."""
        field = self.field(row)
        if field is not None and field.choices:
            return state.over(Pick(field.id, field.label, field.choices, chosen=field.value or field.choices[0].value))
        if field is not None:
            return state
        if row == BACK:
            return state.back()
        wrong = [one for one in self.fields if one.fault]
        if wrong:
            return state.instead(replace(self, chosen=wrong[0].id, tried=True))
        makers = {GO: self.wish, **{name: make for name, _, make in self.also}}
        return state.wishing(makers[row](self.values))

    def _below(self, row: str) -> str:
        rows = [*(field.id for field in self.fields), GO]
        return rows[rows.index(row) + 1]


@dataclass(frozen=True, slots=True)
class Pick:
    """All choices of one row of the form beneath."""

    field: str
    title: str
    choices: tuple[Choice, ...]
    chosen: str = ""

    def page(self, world: World) -> Page:
        """Say what is to be seen."""
        rows = tuple(Item(one.value, one.label, note=one.note) for one in self.choices)
        return Page(self.title, (Items(rows),), chosen=self.chosen)

    def own(self, event: ScreenEvent) -> Pick | None:
        """Nothing but choosing."""
        return None

    def take(self, state: State, row: str) -> State:
        """Put what was picked into the form beneath."""
        below = state.back()
        form = below.view
        if not isinstance(form, Form) or (field := form.field(self.field)) is None:
            return below
        changed = form.changed(self.field, replace(field, value=row, typed=True))
        return below.instead(replace(changed, chosen=changed._below(self.field)))


def number(low: float, high: float, unit: str, *, whole: bool = False) -> Callable[[str], str]:
    """Make a check: a number within limits, with decimal point or comma."""

    def check(text: str) -> str:
        try:
            value = float(text.replace(",", "."))
        except ValueError:
            return f"'{text}' is not a number"
        if not low <= value <= high:
            return f"{text} {unit} lies outside {low:g} to {high:g} {unit}".replace("  ", " ")
        return f"'{text}' is not a whole number" if whole and value != int(value) else ""

    return check


def plain(text: str) -> str:
    """Write a checked number as the command line takes it."""
    return text.replace(",", ".")
