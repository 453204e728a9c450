"""The start screen as a value: which pages lie over each other, and what the edge is asked to do.

``after`` works one event in, ``page_of`` says what is to be seen; neither touches screen, files or programs.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass, replace
from typing import Any, Protocol

from panelwear.screen.choosing import Find, chosen_after
from panelwear.screen.contract import ScreenEvent
from panelwear.screen.page import Page, Room, Words
from panelwear.screen.waiting import asks_help
from panelwear.start.facts import World
from panelwear.start.home import shown_page


@dataclass(frozen=True, slots=True)
class Run:
    """Run a command in a process of its own."""

    words: tuple[str, ...]
    title: str
    on_screen: bool
    """Whether the command needs the screen: ours goes away for it and comes back."""
    folder: str = ""
    """Panel folder it is about."""

    @property
    def gives_a_record(self) -> bool:
        """Whether it writes JSON for us, and not lines for a person."""
        return "--json" in self.words


@dataclass(frozen=True, slots=True)
class ShowWay:
    """Plan a session, and show the probe's way before it is begun."""

    run: Run
    sequence: str
    """Name or file."""
    instrument: str = ""
    link: str = ""
    without_probe: bool = False


@dataclass(frozen=True, slots=True)
class ListFolder:
    """Say what lies in a folder."""

    path: str


@dataclass(frozen=True, slots=True)
class OpenFolder:
    """Take a panel folder into the list of those known."""

    path: str


@dataclass(frozen=True, slots=True)
class Forget:
    """Take a folder off the list; nothing on the disk is touched."""

    folder: str


@dataclass(frozen=True, slots=True)
class Browse:
    """Leave, and open a file in the browser."""

    path: str


@dataclass(frozen=True, slots=True)
class StopChild:
    """End the command that runs behind the page."""


@dataclass(frozen=True, slots=True)
class Leave:
    """Leave the start screen."""


Wish = Run | ShowWay | ListFolder | OpenFolder | Forget | Browse | StopChild | Leave


class Rows(Protocol):
    """One page of the start screen whose rows are chosen and taken, a frozen record."""

    @property
    def chosen(self) -> str:
        """The id of the chosen row."""
        ...

    def page(self, world: World) -> Page:
        """Say what is to be seen."""
        ...

    def own(self, event: ScreenEvent) -> View | None:
        """Take an event that means something on this page alone; ``None``: it does not."""
        ...

    def take(self, state: State, row: str) -> State:
        """Do what a row stands for."""
        ...


class Whole(ABC):
    """A page that works every key and click in by itself; the room's key and a closed window are the start screen's."""

    __slots__ = ()

    @abstractmethod
    def page(self, world: World) -> Page:
        """Say what is to be seen."""

    @abstractmethod
    def heard(self, state: State, event: ScreenEvent, find: Find) -> State:
        """Work one event in."""


View = Rows | Whole
"""One page of the start screen."""


@dataclass(frozen=True, slots=True)
class State:
    """Where the start screen stands."""

    world: World
    views: tuple[View, ...]
    """The last one is seen."""
    wish: Wish | None = None
    """What the edge is to do now; it takes it away."""
    room: Room = "lit"
    """A person begins at a desk with a lamp; words for dark rooms could not be read there."""
    keys_shown: bool = False

    @property
    def view(self) -> View:
        """The page that is seen."""
        return self.views[-1]

    def over(self, view: View) -> State:
        """Lay a page over the others."""
        return replace(self, views=(*self.views, view))

    def instead(self, view: View) -> State:
        """Put a page in the place of the one that is seen."""
        return replace(self, views=(*self.views[:-1], view))

    def back(self) -> State:
        """Take the page that is seen away; under the first there is nothing but to leave."""
        if len(self.views) == 1:
            return replace(self, wish=Leave())
        return replace(self, views=self.views[:-1])

    def wishing(self, wish: Wish) -> State:
        """Ask the edge for something."""
        return replace(self, wish=wish)


KEYS = (
    ("up, down", "choose a row; Tab, page keys, Home, End and the wheel too"),
    ("Return, click", "take the chosen row"),
    ("left, right", "another button; turn pages of a text"),
    ("Escape", "back; on the first page: leave"),
    ("h, ?, F1", "these keys; a form has its own"),
    ("F2", "words for a dark room, or for a lit one"),
)
SHORT_KEYS = (("Return, click", "take"), ("Escape", "back"), ("h", "all keys"))


def page_of(state: State) -> Page:
    """Say what is to be seen."""
    if state.keys_shown:
        words = "\n".join(f"{key}:  {does}" for key, does in KEYS)
        return Page("Keys", (Words(words),), keys=(("any key", "back"),), room=state.room)
    page = shown_page(state.view.page(state.world), state.world.person)
    room_key = ("F2", "dim, for a dark room" if state.room == "lit" else "brighter, for a lit room")
    keys = page.keys or SHORT_KEYS
    return replace(page, room=state.room, keys=(*keys, room_key) if len(keys) <= len(SHORT_KEYS) else keys)


def after(state: State, event: ScreenEvent, find: Find) -> State:
    """Work one event in.

    Args:
        state: before.
        event: what happened.
        find: names the row at a pixel.
    """
    if event.kind == "quit":
        return state.wishing(Leave())
    if state.keys_shown:
        return replace(state, keys_shown=event.kind not in {"key", "pointer-down"})
    view = state.view
    if event.kind == "key" and event.key == "f2":
        return replace(state, room="lit" if state.room == "dark" else "dark")
    if isinstance(view, Whole):
        return view.heard(state, event, find)
    if event.kind == "key":
        if event.key == "escape":
            return view.escaped(state) if isinstance(view, Guarded) else state.back()
        state = replace(state, keys_shown=asks_help(event))
    return state if state.keys_shown else _worked(state, view, event, find)


def _worked(state: State, view: Rows, event: ScreenEvent, find: Find) -> State:
    own = view.own(event)
    if own is not None:
        return state.instead(own)
    page = view.page(state.world)
    choice = chosen_after(page, event, find)
    if choice.chosen != page.chosen:
        view = with_chosen(view, choice.chosen)
        state = state.instead(view)
    return view.take(state, choice.chosen) if choice.taken else state


class Guarded(ABC):
    """A page that Escape does not simply take away."""

    __slots__ = ()

    @abstractmethod
    def escaped(self, state: State) -> State:
        """Say what Escape does here."""


def with_chosen(view: Rows, row: str) -> Rows:
    """Return the same page with another row chosen."""
    changed: Any = replace(view, chosen=row)  # type: ignore[type-var]
    return changed  # type: ignore[no-any-return]
