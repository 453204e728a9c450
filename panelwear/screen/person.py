"""The person: asked on the screen and on the terminal at once, whichever answers first."""

from __future__ import annotations

import math
from collections.abc import Callable

from groundwork.clock import Clock, RealClock
from panelwear.errors import Stopped, UsageError
from panelwear.screen.answers import check_answer
from panelwear.screen.contract import Card, Screen, ScreenEvent, far_corner
from panelwear.screen.filling import fill_in
from panelwear.screen.operator import Inquiry, Progress, Question, Watch
from panelwear.screen.page import Page, Words
from panelwear.screen.taking import as_line, rows_line, taken_by_line, worked
from panelwear.screen.terminal import Terminal
from panelwear.screen.waiting import SLICE_S, asks_help, clicked, goes_on, happened, moments, tell_test
from panelwear.telling.progress import in_one_line
from sequences.model import Place
from sequences.place_names import place_name

GO_ON_HINT = "Return, space or a click goes on; Escape stops"
HELP_HINT = "h shows how the probe is put on"
FORM_UNHEARD_S = 0.3
"""Keys of a form's or a page's first moment were meant for what was on before: Return would take all of it."""


class Typing:
    """What is typed on the screen, key by key."""

    def __init__(self, choices: tuple[str, ...] = ()) -> None:
        self.text = ""
        self._choices = choices
        self._chosen = -1

    def take(self, event: ScreenEvent) -> bool:
        """Take one event; ``True`` when the answer is complete."""
        if event.kind == "text":
            self.text += "".join(c for c in event.text if c.isprintable())
        if event.kind == "wheel" and self._choices:
            self._choose(-1 if event.button > 0 else 1)
        if event.kind != "key":
            return clicked(event)
        if event.key == "backspace":
            self.text = "" if event.control else self.text[:-1]
        if event.key in {"up", "down"} and self._choices:
            self._choose(1 if event.key == "down" else -1)
        return event.key == "return"

    def _choose(self, by: int) -> None:
        # Up from "nothing chosen yet" is the last one.
        self._chosen = (max(self._chosen, 0 if by < 0 else -1) + by) % len(self._choices)
        self.text = self._choices[self._chosen]


class _Person:
    def __init__(self, screen: Screen | None, terminal: Terminal, clock: Clock) -> None:
        self._screen = screen
        self._terminal = terminal
        self._clock = clock
        self._told: list[str] = []
        self._visit = -1
        """Of the last progress: where the terminal is a file, a visit is one line."""

    def tell(self, text: str) -> None:
        """Say something on the terminal at once, and on the screen with the next card."""
        self._terminal.say(text)
        # A card of its own could stand in a reading; it waits for the next prompt or progress.
        self._told = [*self._told, text][-4:]

    def ask(self, question: Question) -> str:
        """Ask until the answer holds; an empty one takes the default. Escape raises ``Stopped``."""
        if question.page is not None and self._screen is not None:
            return self._asked_on_page(question.page, question.watch)
        fault = ""
        while True:
            answer = self._answer(question, fault).strip() or question.default
            try:
                checked = check_answer(question, answer)
            except ValueError as error:
                fault = str(error)
                self._terminal.say(f"  {fault}")
            else:
                if question.away_from is None:
                    self._lay(None)
                return checked

    def _answer(self, question: Question, fault: str) -> str:
        self._terminal.prompt(question_line(question))
        typing = Typing(question.choices)
        text, *body = question.text.split("\n")
        title = f"{text} ({question.unit})" if question.unit else text
        # What the question itself says was told on the terminal a moment ago.
        told = [said for said in self._told if said not in question.text]
        lines = [*body, *told, *(f"{number}  {choice}" for number, choice in enumerate(question.offered, 1))]

        def draw() -> None:
            shown = (*lines, *([fault] if fault else []), _hint(question))
            self._lay(Card(shown, title=title, entry=typing.text, corner="centre"))

        def draw_aside() -> None:
            # What is typed comes first: where the line is cut, the question's end is missing and no digit.
            words = (f"{typing.text}_ ", *([f"{fault};"] if fault else []), title)
            self._lay(Card(words, corner=self._far_from(question.away_from), one_line=True))

        show = draw if question.away_from is None else draw_aside
        show()
        answer = self._wait(typing.take, changed=lambda: typing.text, draw=show, watch=question.watch)
        self._told = []
        if answer is None:
            self._terminal.echo(typing.text)
            return typing.text
        return answer

    def ask_all(self, inquiry: Inquiry) -> dict[str, str]:
        """Ask everything in one form, on the screen and on the terminal at once."""
        self._told = []
        return fill_in(inquiry, self._screen, self._terminal, self._clock, lambda: self._forget_input(FORM_UNHEARD_S))

    def read_page(self, page: Page) -> None:
        """Show a page until the person has read it; its words stand on the terminal too."""
        self._terminal.say(page.title)
        for part in page.parts:
            if isinstance(part, Words):
                self._terminal.say(f"  {part.text}")
        self._terminal.prompt("[Return]")
        if self._screen is not None:
            self._screen.page(page)
        self._until_ready(FORM_UNHEARD_S, take=lambda event: goes_on(event) or asks_help(event))

    def put_probe(self, place: Place, text: str, watch: Watch | None = None) -> None:
        """Return when the person says that the probe sits; the card keeps away from the target."""
        title = f"Put the probe at: {place_name(place.name)}"
        self._confirm(text, title=title, corner=self._far_from(place.at_px), by_hand=True, watch=watch)

    def _far_from(self, at_px: tuple[float, float] | None) -> str:
        if self._screen is None or at_px is None:
            return "centre"
        return far_corner(at_px, self._screen.facts.width_px, self._screen.facts.height_px)

    def go_on(self, text: str, unheard_s: float = 0.0, watch: Watch | None = None, page: Page | None = None) -> None:
        """Return when the person is ready; what was pressed before the text was to be seen does not count."""
        if page is None or self._screen is None:
            self._confirm(text, title="", corner="centre", unheard_s=unheard_s, watch=watch)
            return
        self._terminal.prompt(f"{text} [Return]")
        self._screen.page(page)
        self._until_ready(unheard_s, watch)  # what was told stands with the next card: a page says its own

    def _until_ready(
        self, unheard_s: float, watch: Watch | None = None, take: Callable[[ScreenEvent], bool] = goes_on
    ) -> None:
        self._forget_input(unheard_s)
        if self._wait(take, watch=watch) is None:
            self._terminal.echo("")

    def _confirm(
        self,
        text: str,
        *,
        title: str,
        corner: str,
        unheard_s: float = 0.0,
        by_hand: bool = False,
        watch: Watch | None = None,
    ) -> None:
        self._terminal.prompt(f"{title + ': ' if title else ''}{text} [Return]")
        lines = (*self._told, *text.split("\n"), "", GO_ON_HINT, *([HELP_HINT] if by_hand and watch else []))
        self._lay(Card(lines, title=title, corner=corner, by_hand=by_hand))
        self._until_ready(unheard_s, watch)
        self._told = []
        self._lay(None)

    def choose(self, page: Page, most_s: float = math.inf) -> str:
        """Show a page until a row is taken on it or at the terminal; after ``most_s`` the chosen one is."""
        self._put_page(page)
        tell_test("LISTENS")
        return self._taken_on(page, most_s)

    def _asked_on_page(self, page: Page, watch: Watch | None) -> str:
        self._put_page(page)
        self._forget_input(FORM_UNHEARD_S)
        self._told = []
        return self._taken_on(page, math.inf, watch)

    def _put_page(self, page: Page) -> None:
        if self._screen is None:
            raise UsageError("a page needs a screen")
        self._terminal.prompt(as_line(page))
        self._screen.page(page)

    def _taken_on(self, page: Page, most_s: float, watch: Watch | None = None) -> str:
        if self._screen is None:
            raise UsageError("a page needs a screen")
        end_s = self._clock.monotonic_s() + most_s
        for events in moments(self._screen, self._clock, end_s):
            before = page
            if watch is not None:
                watch(events)
            for event in events:
                page, taken = worked(page, event, self._screen.row_at)
                if taken:
                    self._terminal.echo(taken)
                    return taken
            line = self._terminal.poll()
            if line is not None:
                if taken := taken_by_line(page, line):
                    return taken
                self._terminal.prompt(f"'{line.strip()}' means nothing here; {rows_line(page)}")
            if page != before:
                self._screen.page(page)
        return page.chosen

    def _forget_input(self, unheard_s: float) -> None:
        """Throw away what was pressed and typed before a card was on, and for so long after; Escape always counts."""
        until_s = self._clock.monotonic_s() + unheard_s
        if self._screen is None:
            self._clock.sleep(unheard_s)
        else:
            happened(self._screen)
            for _ in moments(self._screen, self._clock, until_s):
                pass
        if self._terminal.forget_typed():
            raise Stopped("stopped at the terminal; everything up to here is kept")
        tell_test("LISTENS")

    def _wait(
        self,
        take: Callable[[ScreenEvent], bool],
        *,
        changed: Callable[[], str] = lambda: "",
        draw: Callable[[], None] = lambda: None,
        watch: Watch | None = None,
    ) -> str | None:
        """Wait for either side: a line from the terminal, or ``None`` when the screen's events were enough."""
        awaited = moments(self._screen, self._clock) if self._screen is not None else None
        while (line := self._terminal.poll()) is None:
            if awaited is None:
                if self._terminal.ended:
                    raise UsageError("nobody can answer: standard input has ended; give the answers as options")
                self._clock.sleep(SLICE_S)
                continue
            typed = changed()
            try:
                events = next(awaited)
            except Stopped:
                self._terminal.echo("")  # what is said of it begins on a line of its own
                raise
            if watch is not None:
                watch(events)
            if any(take(event) for event in events):
                return None
            if changed() != typed:
                draw()
        return line

    def progress(self, progress: Progress) -> None:
        """Say where the run stands on the terminal; on the screen the engine lays its overlay while a patch settles."""
        if self._terminal.interactive or not progress.visit or progress.visit != self._visit:
            self._terminal.running(progress_line(progress, self._terminal.room))
        self._visit = progress.visit

    def leave(self) -> None:
        """Leave the line that keeps changing as it is: what is said next begins at the left."""
        self._terminal.leave_running()

    def bell(self) -> None:
        """Call the person."""
        self._terminal.bell()

    def _lay(self, card: Card | None) -> None:
        if self._screen is not None:
            self._screen.card(card)


class ScreenOperator(_Person):
    """The person in front of the screen, who may have a terminal at hand too; implements ``Operator``."""

    def __init__(self, screen: Screen, terminal: Terminal | None = None, clock: Clock | None = None) -> None:
        super().__init__(screen, terminal or Terminal(), clock or RealClock())


class TerminalOperator(_Person):
    """The person at the terminal, while no screen is open; implements ``Operator``."""

    def __init__(self, terminal: Terminal | None = None, clock: Clock | None = None) -> None:
        super().__init__(None, terminal or Terminal(), clock or RealClock())


def _hint(question: Question) -> str:
    """Say which keys answer."""
    choose = "A number, or up and down, chooses. " if question.choices else ""
    if not question.default:
        return f"{choose}Return or a click takes the answer; Escape stops."
    nothing = f"with nothing {'chosen' if question.choices else 'typed'}: {question.default} {question.unit}".rstrip()
    return f"{choose}Return or a click takes it, {nothing}; Escape stops."


def question_line(question: Question) -> str:
    """Write a question as one line for the terminal."""
    unit = f" ({question.unit})" if question.unit else ""
    choices = f" [{' / '.join(f'{n} {c}' for n, c in enumerate(question.offered, 1))}]" if question.choices else ""
    default = f" [{question.default}]" if question.default else ""
    return f"{question.text.replace(chr(10), ' ')}{unit}{choices}{default}:"


def progress_line(progress: Progress, width: float = math.inf) -> str:
    """Write where a run stands as one line for the terminal; what has no room there is left out from its end."""
    place = progress.place or f"step {progress.step} of {progress.steps}"
    left = f"{time_left(progress.left_s)} left"
    return in_one_line(progress.done_share, (place, left, progress.what, progress.last_reading), width)


def time_left(seconds: float) -> str:
    """Write a time as a person says it: ``45 s``, ``12 min``, ``1 h 05 min``."""
    if seconds < 100:
        return f"{max(0.0, seconds):.0f} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 100 else f"{minutes // 60} h {minutes % 60:02d} min"
