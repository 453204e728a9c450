"""A form is filled in on the screen and on the terminal at once, whichever takes it first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from groundwork.clock import Clock
from panelwear.errors import Stopped, UsageError
from panelwear.screen.contract import Screen, ScreenEvent
from panelwear.screen.form import ENDED, Form, begun
from panelwear.screen.form_keys import after
from panelwear.screen.form_page import page_of
from panelwear.screen.form_terminal import Talk, after_line, begin, prompt
from panelwear.screen.operator import Inquiry
from panelwear.screen.page import Page
from panelwear.screen.terminal import Terminal
from panelwear.screen.waiting import SLICE_S, moments

ASKING = ("costs", "leaving")
"""Pages whose Return does something: it has to be meant for them."""


def fill_in(
    inquiry: Inquiry, screen: Screen | None, terminal: Terminal, clock: Clock, ready: Callable[[], None] = lambda: None
) -> dict[str, str]:
    """Have a person fill a form in.

    Args:
        inquiry: What is asked.
        screen: ``None``: on the terminal alone.
        terminal: The same form as lines.
        clock: Waits.
        ready: Called once the form is to be seen: throws away what was pressed before.

    Returns:
        The checked answers by key.

    Raises:
        Stopped: the person left.
        UsageError: nobody can answer.
    """
    filling = _Filling(begun(inquiry), screen, terminal, clock)
    form = filling.run(ready)
    if form.stage == "left":
        if screen is not None:
            screen.darken()
        raise Stopped("stopped at the questions; everything up to here is kept")
    return form.answers


class _Filling:
    def __init__(self, form: Form, screen: Screen | None, terminal: Terminal, clock: Clock) -> None:
        self._talk = Talk(form)
        self._screen = screen
        self._terminal = terminal
        self._clock = clock
        self._page: Page | None = None

    def run(self, ready: Callable[[], None]) -> Form:
        for line in begin(self._talk.form):
            self._terminal.say(line)
        self._draw()
        self._terminal.prompt(prompt(self._talk))
        ready()
        # Escape means something of its own here: back, or leave what was typed.
        awaited = moments(self._screen, self._clock, look=lambda screen: screen.poll()) if self._screen else None
        while self._talk.form.stage not in ENDED:
            if (typed := self._terminal.poll()) is not None:
                self._hear(typed)
            elif awaited is not None:
                self._see(next(awaited))
            elif self._terminal.ended:
                raise UsageError("nobody can answer: standard input has ended; give the answers as options")
            else:
                self._clock.sleep(SLICE_S)
        return self._talk.form

    def _find(self, x: int, y: int) -> str:
        return self._screen.row_at(x, y) if self._screen is not None else ""

    def _hear(self, line: str) -> None:
        self._talk, said = after_line(self._talk, line)
        for sentence in said:
            self._terminal.say(sentence)
        if self._talk.form.stage not in ENDED:
            self._terminal.prompt(prompt(self._talk))
            self._draw()

    def _see(self, events: tuple[ScreenEvent, ...]) -> None:
        before = self._talk.form
        form = before
        title = page_of(before).title
        for event in events:
            # A click belongs to the page that was to be seen; one that came by a key or click of this moment was not.
            if not event.kind.startswith("pointer") or page_of(form).title == title:
                form = after(form, event, self._find)
        self._talk = replace(self._talk, form=form)
        if form.stage in ENDED:
            self._terminal.echo("taken on the screen" if form.stage == "taken" else "")
            return
        if form.stage != before.stage and not {form.stage, before.stage} <= {"fields", "choices"}:
            self._talk = Talk(form)
            for sentence in form.said:
                self._terminal.say(sentence)
            self._terminal.prompt(prompt(self._talk))
        self._draw()
        if form.stage in ASKING and form.stage != before.stage and self._screen is not None:
            # What was pressed while it came on was meant for the page before; Escape always counts.
            self._see(tuple(event for event in self._screen.poll() if event.stops))

    def _draw(self) -> None:
        """Put the page up where it is another than the one that is on."""
        page = page_of(self._talk.form)
        if self._screen is not None and page != self._page:
            self._screen.page(page)
            self._page = page
