"""What the rest of the program may ask of the person: on the screen and on the terminal, whichever answers first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from panelwear.errors import UsageError
from panelwear.screen.contract import ScreenEvent
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
    beside: tuple[float, float] | None = None
    """Where on the screen (pixels) the probe is, or belongs: the card stands in the farthest corner, to be read while
    the probe is in the hand."""

    @property
    def offered(self) -> tuple[str, ...]:
        """The choices with what they do: "read again: you put the probe right first"."""
        means = self.means or ("",) * len(self.choices)
        return tuple(f"{one}: {does}" if does else one for one, does in zip(self.choices, means, strict=True))


@dataclass(slots=True)
class Awaited:
    """The reading that is awaited just now, told by the engine to whoever asks a person for it."""

    at_px: tuple[float, float] | None = None
    """Where the probe sits; ``None``: no reading is awaited, or the place is not known."""
    watch: Watch | None = None
    """Wants to know what happens at the screen meanwhile."""
    frame: Frame | None = None
    """What is shown for it: what a simulated meter sees."""
    operator: Operator | None = None
    """The person, once there is one to be asked: a probe is opened before the screen is."""

    def ask(self, text: str) -> str:
        """Have the person type what a hand-held meter shows; nothing comes near the spot that is read."""
        if self.operator is None:
            raise UsageError("a reading is to be typed in, and nobody can be asked yet")
        return self.operator.ask(Question("reading", text, away_from=self.at_px, watch=self.watch))


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


class Operator(Protocol):
    """The person, or a script in the person's place."""

    def tell(self, text: str) -> None:
        """Say something that needs no answer."""
        ...

    def ask(self, question: Question) -> str:
        """Ask, and return the checked answer. Raises ``Stopped`` on Escape."""
        ...

    def put_probe(self, place: Place, text: str) -> None:
        """Return when the probe sits at the place (the target is on the screen already)."""
        ...

    def go_on(self, text: str, unheard_s: float = 0.0) -> None:
        """Return when the person is ready (Return, space or a click).

        Keys from before the text was to be seen do not count, nor do those of the first ``unheard_s`` seconds.
        """
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

    def put_probe(self, place: Place, text: str) -> None:
        """Take the probe to be there."""
        self._behind.tell(f"{text} (taken to be there)")

    def go_on(self, text: str, unheard_s: float = 0.0) -> None:
        """Go on at once."""
        self._behind.tell(text)

    def progress(self, progress: Progress) -> None:
        """Show it."""
        self._behind.progress(progress)

    def bell(self) -> None:
        """Ring."""
        self._behind.bell()
