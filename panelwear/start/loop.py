"""The start screen at work: draws its pages, hears keys and mouse, and runs what is asked for."""

from __future__ import annotations

import webbrowser
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from groundwork.clock import Clock, local_now
from panelwear.errors import PanelwearError, Stopped
from panelwear.screen.contract import Screen, ScreenEvent
from panelwear.screen.monitors import Monitor
from panelwear.screen.page import Page
from panelwear.screen.waiting import moments
from panelwear.start import known, look_up
from panelwear.start.background import Background, with_remark
from panelwear.start.child import Child
from panelwear.start.chooser import with_listing
from panelwear.start.facts import Listing, World
from panelwear.start.home import meant
from panelwear.start.menu import First
from panelwear.start.outcome import TELLING, not_browsed, opened, outcome
from panelwear.start.planning import planned
from panelwear.start.record import said_in
from panelwear.start.state import (
    Browse,
    Forget,
    Leave,
    ListFolder,
    OpenFolder,
    Run,
    ShowWay,
    State,
    StopChild,
    after,
    page_of,
)
from panelwear.start.told import Working
from panelwear.start.way import Way, with_way
from panelwear.telling.out import tell

Opened = Callable[[], tuple[Screen, tuple[Monitor, ...]]]
"""Opens the screen, and tells which monitors are connected."""


class StartScreen:
    """One evening at the start screen."""

    def __init__(self, open_up: Opened, clock: Clock) -> None:
        self._open_up = open_up
        self._clock = clock
        self._background = Background()
        self._child: tuple[Child, Run] | None = None
        self._state = State(World(home=look_up.HOME, person=look_up.person(), ready=False), (First(),))

    def run(self) -> int:
        """Be there until the person leaves; commands that need the screen have it to themselves meanwhile."""
        while True:
            screen, monitors = self._open_up()
            self._state = replace(self._state, world=replace(self._state.world, monitors=monitors))
            self._ask_world()
            try:
                self._on(screen)
            finally:
                if self._child is not None:
                    self._child[0].stop()
                screen.close()
            wish, self._state = self._state.wish, replace(self._state, wish=None)
            if isinstance(wish, Run):
                child = Child(wish.words, gives_a_record=wish.gives_a_record)
                self._end(wish, child.wait(), child)
            elif isinstance(wish, Browse):
                if webbrowser.open(Path(wish.path).resolve().as_uri()):
                    return 0
                self._state = not_browsed(self._state, wish.path)
            else:
                return 0

    def _on(self, screen: Screen) -> None:
        """Draw and hear until something needs the screen gone."""
        shown: Page | None = None
        for events in moments(screen, self._clock, look=lambda looked_at: looked_at.poll()):
            self._hear(events, screen)
            self._state = self._background.worked_in(self._state)
            self._look_after_child()
            if self._gives_the_screen_away():
                return
            page = page_of(self._state)
            if page != shown:
                shown = page if self._draw(screen, page) else None

    def _draw(self, screen: Screen, page: Page) -> bool:
        try:
            screen.page(page)
        except Stopped:
            # Escape while a page came on: the screen is black already, and it means what it means on that page.
            self._hear((ScreenEvent("key", self._clock.monotonic_s(), key="escape"),), screen)
            return False
        return True

    def _hear(self, events: tuple[ScreenEvent, ...], screen: Screen) -> None:
        seen = _place(self._state)
        for event in events:
            # A click belongs to the page that was to be seen; a page that came by a key of the same moment was not.
            if event.kind.startswith("pointer") and _place(self._state) != seen:
                continue
            self._state = self._granted(after(self._state, event, screen.row_at))

    def _gives_the_screen_away(self) -> bool:
        return isinstance(self._state.wish, Leave | Browse | Run)

    def _granted(self, state: State) -> State:
        """Do what can be done beside the screen; what needs it gone is left as a wish."""
        if isinstance(state.wish, Run | ShowWay):
            state = state.wishing(_written_out(state.wish, state.world.person))
        wish, without = state.wish, replace(state, wish=None)
        match wish:
            case Run(words, title, on_screen=False):
                self._child = (Child(words, gives_a_record=wish.gives_a_record), wish)
                return without.over(Working(title))
            case ShowWay():
                self._background.ask(lambda: planned(wish), lambda state, found: with_way(state, wish, found))
                return without.over(Way(wish))
            case StopChild():
                if self._child is not None:
                    self._child[0].stop()
            case ListFolder(path):
                self._background.ask(lambda: look_up.list_folder(path), _listed)
            case OpenFolder(path):
                self._background.ask(lambda: known.remember(Path(path)), lambda state, _: opened(state, path))
                self._ask_world()
            case Forget(folder):
                try:
                    known.forget(folder)  # at once: who leaves right after it has it done
                except (PanelwearError, OSError) as error:
                    without = with_remark(without, str(error))
                self._ask_world()
            case _:
                return state
        return without

    def _look_after_child(self) -> None:
        if self._child is None:
            return
        child, run = self._child
        code = child.code
        if code is not None:
            self._child = None
            self._end(run, code, child)
            self._ask_world()
        elif isinstance(view := self._state.view, Working):
            last = [line for line in child.lines[-8:] if line.strip() and not line.startswith(TELLING)]
            self._state = self._state.instead(replace(view, line=last[-1] if last else ""))

    def _end(self, run: Run, code: int, child: Child) -> None:
        if code == 0 and run.words[0] in {"new", "rehearse"}:
            known.remember(Path(run.folder))
        parts = said_in(child.record) if run.gives_a_record else None
        if parts is not None:
            with suppress(OSError, ValueError, AttributeError):  # nobody may read ours, or there is none
                tell(parts)  # as if it had been typed there
        self._state = outcome(self._state, run, child.lines, code, parts)

    def _ask_world(self) -> None:
        monitors, today = self._state.world.monitors, local_now(self._clock).date()
        self._background.ask(lambda: look_up.look_up(monitors, today), _with_world)


def _place(state: State) -> tuple[int, str]:
    """Say which page is on: one may lie over others, or, as a form's question, be one of several of the same view."""
    return len(state.views), page_of(state).title


def _written_out(wish: Run | ShowWay, home: str) -> Run | ShowWay:
    if isinstance(wish, Run):
        return replace(wish, words=tuple(meant(word, home) for word in wish.words), folder=meant(wish.folder, home))
    return replace(wish, sequence=meant(wish.sequence, home))


def _listed(state: State, listing: Listing) -> State:
    return with_listing(state, listing)


def _with_world(state: State, world: World) -> State:
    return replace(state, world=world)
