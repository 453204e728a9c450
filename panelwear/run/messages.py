"""What a step may ask of the engine. A step is a generator of these; the engine does them and sends back the answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal, Protocol

from panelwear.readings.row import Row
from panelwear.screen.contract import Card, Shown
from panelwear.screen.operator import Inquiry, Question
from panelwear.screen.page import Page
from patterns.frame import Frame
from probe_io.reading import Reading
from sequences.model import Place

Line = Literal["", "proved", "lost"]
"""Whether a known patch read as it is known; empty: none was read."""
UNATTENDED_S = 2.0
"""How long it lasts where nobody can press one."""


@dataclass(frozen=True, slots=True)
class Show:
    """Put a frame on the screen; answers with ``Shown``."""

    frame: Frame
    fade_s: float | None = None
    card: Card | None = None
    """Comes with the frame and stays until the next."""


@dataclass(frozen=True, slots=True)
class Wait:
    """Let time pass while the screen stays alive; answers with ``None``."""

    seconds: float
    card: Card | None = None
    """Shown meanwhile, and taken away before the wait ends."""


@dataclass(frozen=True, slots=True)
class AwaitHand:
    """Leave what is on until a hand goes on, or its seconds are over; answers with ``Hand``. No other key ends it."""

    seconds: float | None = None
    """``None``: as long as it takes."""


@dataclass(frozen=True, slots=True)
class Hand:
    """How a hold ended, and between which moments what was held stood there unchanged."""

    back: bool
    """One step back is wanted."""
    from_utc: str
    to_utc: str
    by_itself: bool = False
    """Its seconds were over before a hand came."""


@dataclass(frozen=True, slots=True)
class Photograph:
    """Go through a shooting list; answers with the name of the shoot, such as ``shoot-1``."""

    list_name: str
    poses: bool


@dataclass(frozen=True, slots=True)
class Measure:
    """Take one reading; answers with ``Measured``."""

    integration_s: float | None = None
    unlit: bool = False
    """The panel is switched off: a monitor that is gone then is no disturbance, and there is nothing to prove."""
    line: Line = ""
    """What a known patch told of the meter's line since an answer was missing: the probe hears of it first."""


@dataclass(frozen=True, slots=True)
class Measured:
    """A reading, and whether anything disturbed the screen while it was taken."""

    reading: Reading
    disturbed: bool
    time_utc: str
    shown: Shown | None = None
    """What is on the screen now (a pause puts the frame up anew)."""
    why: str = ""
    """What disturbed it, in words for the person; empty when nothing did."""
    away: bool = False
    """The meter was gone, and is back: the reading has no light and does not count as a try."""
    control_due: bool = False
    """Nothing is believed before a known patch was read."""
    again: bool = False
    """Nothing was read: the person did something else first. It is no try, and no row."""


@dataclass(frozen=True, slots=True)
class Ask:
    """Put a question; answers with the checked text."""

    question: Question


@dataclass(frozen=True, slots=True)
class AskAll:
    """Put all questions in one form; answers with the checked texts by key."""

    inquiry: Inquiry


@dataclass(frozen=True, slots=True)
class ReadPage:
    """Show a page of words until the person has read it; answers with ``None``. The next ``Show`` takes it away."""

    page: Page


@dataclass(frozen=True, slots=True)
class MoveProbe:
    """Have the person put the probe at a place; answers with ``None``."""

    place: Place
    text: str
    find: bool = False
    """Afterwards find it with the screen again, where the session finds it at its placements."""


@dataclass(frozen=True, slots=True)
class GoOn:
    """Wait until the person is ready; answers with ``None``."""

    text: str


@dataclass(frozen=True, slots=True)
class Tell:
    """Say something; answers with ``None``."""

    text: str


@dataclass(frozen=True, slots=True)
class Bell:
    """Call the person; answers with ``None``."""


@dataclass(frozen=True, slots=True)
class Append:
    """Store a row (``RowDraft``); answers with the ``Row`` as stored."""

    draft: Any


@dataclass(frozen=True, slots=True)
class Keep:
    """Store a fact with the session (``checkpoint.json``); answers with ``None``."""

    key: str
    value: Any


Message = (
    Show | Wait | AwaitHand | Photograph | Measure | Ask | AskAll | ReadPage | MoveProbe | GoOn | Tell | Bell | Append
    | Keep
)  # fmt: skip


class Journal(Protocol):
    """Where rows go; each is on the disk before ``append`` returns."""

    def append(self, row: Row) -> None:
        """Store one row."""
        ...
