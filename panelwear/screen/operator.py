"""What the rest of the program may ask of the person: on the screen and on the terminal, whichever answers first."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Protocol

from panelwear.errors import UsageError
from panelwear.screen.contract import ScreenEvent
from panelwear.screen.page import Page
from patterns.frame import Frame
from sequences.model import Place

Watch = Callable[[tuple[ScreenEvent, ...]], None]
"""Is handed the events of the screen in the batches they came in."""


@dataclass(frozen=True, slots=True)
class Question:
    """One question; an empty answer takes the default."""

    key: str
    """Key under which the answer is stored, such as ``room_lx``."""
    text: str
    """The question on its first line; what is to be known for it on the lines below, where there are any."""
    default: str = ""
    choices: tuple[str, ...] = ()
    unit: str = ""
    check: Callable[[str], str] | None = None
    """Returns the cleaned answer or raises ``ValueError`` with a plain sentence, and the question is put again."""
    away_from: tuple[float, float] | None = None
    """Where on the screen (pixels) a meter is being read meanwhile: nothing but one dim line in the farthest corner
    is shown, and it stays until the next frame or card."""
    watch: Watch | None = None
    """Is handed what happens at the screen while the answer is waited for."""
    means: tuple[str, ...] = ()
    """What each of the choices does, in their order; none: they say it themselves."""
    names: tuple[str, ...] = ()
    """What a person reads in the place of each choice in a form; none: the choices themselves."""
    needed: bool = False
    """Whether an empty answer is refused in a form."""
    label: str = ""
    """What it asks for in a few words, beside its answer in a form."""
    group: str = ""
    """Under which heading of a form it stands."""
    before: str = ""
    """The answer of last time, where it says something about today."""
    page: Page | None = None
    """Put up in the place of a card; its rows are the choices."""

    @property
    def offered(self) -> tuple[str, ...]:
        """The choices with what they do: "read again: you put the probe right first"."""
        means = self.means or ("",) * len(self.choices)
        return tuple(f"{one}: {does}" if does else one for one, does in zip(self.choices, means, strict=True))


def _costs_nothing(answers: Mapping[str, str]) -> tuple[str, ...]:
    return ()


@dataclass(frozen=True, slots=True)
class Inquiry:
    """Several questions, asked at once in one form."""

    questions: tuple[Question, ...]
    title: str = "Before the first light"
    costs: Callable[[Mapping[str, str]], tuple[str, ...]] = _costs_nothing
    """Says of the answers what differs from last time and what that costs, a sentence each."""
    answered: str = ""
    """Where all the answers were given already this evening, in one line: they are taken as they are unless the person
    wants to change them. Empty: they are asked."""
    lit: bool = True
    """The room is lit; else the eyes are in the dark already, and the form stays dim."""
    words: str = ""
    """What is to be known for all of it, above the questions."""
    done: str = "Take all"
    """What the button says that takes all answers."""
    also: tuple[tuple[str, str], ...] = ()
    """Further buttons that take them: what they are called by the program, and what they say."""
    leave: str = "Leave"
    """What the button says that gives the form up."""
    last: str = "last time"
    """Where the answers come from that stand there already."""


@dataclass(slots=True)
class Awaited:
    """The reading that is awaited just now, told by the engine to whoever asks a person for it."""

    at_px: tuple[float, float] | None = None
    """Where the probe sits; ``None``: no reading is awaited, or the place is not known."""
    watch: Watch | None = None
    """Wants to know what happens at the screen meanwhile."""
    corrects: Callable[[], None] | None = None
    """Called where ``back`` is typed in the place of a reading."""
    before: str = ""
    """What is said in front of the next question."""
    count: str = ""
    """Which of how many readings of the patch it is: "reading 2 of 5"."""
    so_far_cd_m2: float | None = None
    """Mean luminance of the patch's readings so far; ``None``: there are none."""
    frame: Frame | None = None
    """What is shown for it: what a simulated meter sees."""
    operator: Operator | None = None
    """The person, once there is one to be asked: a probe is opened before the screen is."""

    def ask(self, text: str) -> str:
        """Have the person type what a hand-held meter shows; nothing comes near the spot that is read."""
        if self.operator is None:
            raise UsageError("a reading is to be typed in, and nobody can be asked yet")
        said = f"{self.before}{f'{self.count}: ' if self.count else ''}{text}"
        return self.operator.ask(Question("reading", said, away_from=self.at_px, watch=self.watch))

    def back(self) -> None:
        """Have the last typed reading corrected; nothing where that is not possible now."""
        if self.corrects is not None:
            self.corrects()

    def luminance_before(self) -> float | None:
        """Return what the readings of the same patch before this one had."""
        return self.so_far_cd_m2


@dataclass(frozen=True, slots=True)
class Progress:
    """Where a run stands."""

    step: int
    steps: int
    done_share: float
    left_s: float
    what: str
    """The patch key or the step in words."""
    last_reading: str = ""
    """Of the step before: "last: 182.4 cd/m²  x 0.3127  y 0.3290", or empty."""
    probe: str = ""
    """The probe in use, where one is."""
    place: str = ""
    """Where the run is in words: "visit 3 of 12, patch 41 of 210"."""
    visit: int = 0
    """Number of the stay of the probe at one place, from 1."""


class Operator(Protocol):
    """The person, or a script in the person's place."""

    def tell(self, text: str) -> None:
        """Say something that needs no answer."""
        ...

    def ask(self, question: Question) -> str:
        """Ask, and return the checked answer. Raises ``Stopped`` on Escape."""
        ...

    def ask_all(self, inquiry: Inquiry) -> dict[str, str]:
        """Ask everything in one form, say what the answers cost, and return the checked answers by key.

        Raises ``Stopped`` when the person leaves.
        """
        ...

    def read_page(self, page: Page) -> None:
        """Show a page of words and return when the person has read it (Return, space or a click)."""
        ...

    def put_probe(self, place: Place, text: str, watch: Watch | None = None) -> None:
        """Return when the probe sits at the place (the target is on the screen already).

        ``watch`` is handed what happens at the screen meanwhile; what it raises goes through.
        """
        ...

    def go_on(self, text: str, unheard_s: float = 0.0, watch: Watch | None = None, page: Page | None = None) -> None:
        """Return when the person is ready (Return, space or a click).

        Keys from before the text was to be seen do not count, nor do those of the first ``unheard_s`` seconds. A
        ``page`` stands in the place of a card; it stays until the next frame or page.
        """
        ...

    def choose(self, page: Page, most_s: float = math.inf) -> str:
        """Show a page until a row of it is taken, and return the row's id; after ``most_s`` that of the chosen one."""
        ...

    def progress(self, progress: Progress) -> None:
        """Show where the run stands, on the terminal; the overlay on the screen is the engine's."""
        ...

    def bell(self) -> None:
        """Call the person: a visit has ended."""
        ...


class Unattended:
    """Nobody is there (``--yes``): questions take their defaults, nothing waits; what is said is still said."""

    def __init__(self, behind: Operator) -> None:
        self._behind = behind

    def tell(self, text: str) -> None:
        """Say it."""
        self._behind.tell(text)

    def ask(self, question: Question) -> str:
        """Take the default; ``UsageError`` where the question has none that holds."""
        try:
            return question.check(question.default) if question.check is not None else question.default
        except ValueError as fault:
            raise UsageError(f"--yes cannot answer '{question.text}': {fault}") from None

    def ask_all(self, inquiry: Inquiry) -> dict[str, str]:
        """Take all defaults, and say what they cost."""
        answers = {question.key: self.ask(question) for question in inquiry.questions}
        for sentence in inquiry.costs(answers):
            self.tell(sentence)
        return answers

    def read_page(self, page: Page) -> None:
        """Pass it over: nobody reads it."""

    def put_probe(self, place: Place, text: str, watch: Watch | None = None) -> None:
        """Take the probe to be there."""
        self._behind.tell(f"{text} (taken to be there)")

    def go_on(self, text: str, unheard_s: float = 0.0, watch: Watch | None = None, page: Page | None = None) -> None:
        """Go on at once."""
        self._behind.tell(text)

    def choose(self, page: Page, most_s: float = math.inf) -> str:
        """Take what is chosen."""
        return page.chosen

    def progress(self, progress: Progress) -> None:
        """Show it."""
        self._behind.progress(progress)

    def bell(self) -> None:
        """Ring."""
        self._behind.bell()
