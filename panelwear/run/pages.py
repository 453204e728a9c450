"""What the screen says where a run is held or has ended: what happened, what is safe, what to do."""

from __future__ import annotations

from dataclasses import dataclass

from panelwear.screen.operator import Question
from panelwear.screen.page import Buttons, Item, Items, Page, Words
from panelwear.telling.words import counted, verb, with_capital

AGAIN, STOP, LEAVE = "again", "stop", "leave"
KEYS = (("r", "try again now"), ("s", "stop here"), ("Escape", "stop here"))


def stored_words(stored: int, folder: str) -> str:
    """Say what is safe: "41 readings are stored in 2026-02-03-h500"."""
    return f"{counted(stored, 'reading')} {verb(stored, 'is')} stored in {folder}."


def held_page(title: str, why: str, to_do: tuple[str, ...], safe: str, where: str) -> Page:
    """Make the page of a run that waits for its meter.

    Args:
        title: What happened, in a few words.
        why: The same in a sentence.
        to_do: What the person can do.
        safe: What is stored.
        where: Where the run stands; may be empty.
    """
    rows = (
        Item(AGAIN, "Try again now", "r", note="the run also looks for the meter by itself, every second"),
        Item(STOP, "Stop here", "s", note="'panelwear resume' goes on later"),
    )
    return Page(title, (*_told(Held(title, why, "\n".join(to_do), safe, where)), Buttons(rows)), AGAIN, KEYS)


@dataclass(frozen=True, slots=True)
class Way:
    """One answer to a question that holds a run."""

    answer: str
    """As it is stored, and as it may be typed at the terminal."""
    key: str
    """A single letter."""
    label: str
    note: str
    """What it does."""


def stop_way(answer: str) -> Way:
    """Make the answer that ends a run that is held."""
    return Way(answer, "s", "Stop here", "everything read is stored; 'panelwear resume' goes on later")


@dataclass(frozen=True, slots=True)
class Held:
    """Why a run is held."""

    title: str
    """What happened, in a few words."""
    why: str
    """The same in a sentence or two."""
    to_do: str
    """What the person can do."""
    safe: str = ""
    """What is stored; empty where that is said elsewhere."""
    where: str = ""
    """Where the run stands; may be empty."""
    calm: bool = False
    """Nothing is wrong: a person has to do something, or to say something."""


def _told(held: Held) -> tuple[Words, ...]:
    """Say what happened, what is safe, and what to do."""
    where = f"{with_capital(held.where)}." if held.where else ""
    rest = (" ".join(part for part in (held.safe, where) if part), held.to_do)
    return (Words(held.why, "strong" if held.calm else "warning"), *(Words(part) for part in rest if part))


def held_question(name: str, held: Held, ways: tuple[Way, ...], *, usual: str = "", pauses: bool = True) -> Question:
    """Make the question of a run that is held until a person answers; Return takes the first way.

    Args:
        name: Key of the answer.
        held: Why it is held.
        ways: What may be answered.
        usual: The answer where nobody is there; empty: the first way.
        pauses: The run may be paused here; else it has not begun, or is held already.
    """
    rows = tuple(Item(way.answer, way.label, way.key, note=way.note) for way in ways)
    own = tuple((way.key, f"{way.label[:1].lower()}{way.label[1:]}") for way in ways)
    keys = (*own, *((("p", "pause"),) if pauses else ()), ("Escape", "stop here"))
    answers = tuple(way.answer for way in ways)
    page = Page(held.title, (*_told(held), Items(rows)), answers[0], keys)
    return Question(name, held.why, usual or answers[0], answers, means=tuple(way.note for way in ways), page=page)


def done_page(what: str, safe: str, next_lines: tuple[str, ...]) -> Page:
    """Make the page of a run that has come to its end.

    Args:
        what: What was done.
        safe: What is stored, and where.
        next_lines: What to do next.
    """
    parts = (Words(what, "strong"), Words(safe), Words("\n".join(next_lines)))
    row = Item(LEAVE, "Leave", note="the desktop comes back, and it may be bright")
    return Page("Done", (*parts, Buttons((row,))), LEAVE, (("Return", "leave"), ("Escape", "leave")))


def leaving_words(error: BaseException) -> tuple[str, ...]:
    """Return what the screen says of an error on leaving, a clause a line."""
    lines = [part for line in str(error).splitlines() for part in line.split("; ")]
    return tuple(with_capital(line) for line in lines if line)[:6]
