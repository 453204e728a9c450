"""A screen that shows nothing and remembers everything: for tests and for the simulated panel.

It keeps the promises of ``panelwear.screen.contract.Screen`` with numpy alone: the pixels it holds are the pattern's
own, events are fed by the test and arrive when the clock has reached them, Escape during a fade stops.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence

from groundwork.clock import Clock
from panelwear.errors import ScreenFault
from panelwear.screen.contract import Card, FrameNote, Proof, ScreenEvent, ScreenFacts, Shown
from panelwear.screen.desk import Desk
from panelwear.screen.page import Page
from panelwear.screen.waiting import stop_if_asked
from patterns.frame import BLACK, Frame, Picture, Rect
from patterns.raster import raster

CARD_CODE = 21
"""Code a card or an outline leaves in the pixels, so that a test can see it is there."""

ROW_PX = 10
"""Height of a page's row in ``row_at``."""


class FakeScreen:
    """Public stand-in for the real screen.

    Args:
        width: Pixels across.
        height: Pixels down.
        clock: Tells when events are due; a fade lets its time pass.
        fade_s: What a fade takes when ``show`` is given none.
    """

    def __init__(self, width: int, height: int, clock: Clock, *, fade_s: float = 0.0) -> None:
        self.facts = ScreenFacts(
            number=0,
            name="fake",
            width_px=width,
            height_px=height,
            driver="fake",
            library="none",
            scaled=False,
            off_screen=True,
            desktop_sizes=((width, height),),
        )
        self.note = FrameNote()
        self.outlined: list[tuple[tuple[int, int, int, int], ...]] = []
        """Every call of ``outlines``, in order."""
        self.card_now: Card | None = None
        self.outlines_now: tuple[tuple[int, int, int, int], ...] = ()
        self.page_now: Page | None = None
        self.desk_now: Desk | None = None
        self.closed = False
        self.said: tuple[str, ...] = ()
        """What was told on leaving."""
        self.darkened = 0
        """How often ``darken`` was called."""
        self.polls = 0
        self._clock = clock
        self._fade_s = fade_s
        self._events: list[ScreenEvent] = []
        self._changed_at_s = clock.monotonic_s()
        self._visible = True
        self._over: list[tuple[float, float, str]] = []
        self.proofs: list[Rect | None] = []
        """What each ``prove`` was asked of."""
        whole = Rect(0, 0, width, height)
        self._frame = Frame(pattern="field", width=width, height=height, background=BLACK, rect=whole)

    @property
    def frame_now(self) -> Frame:
        """The frame that is on."""
        return self._frame

    @property
    def changed_at_s(self) -> float:
        """When a frame, a card or outlines last came or went, or an ``expose`` was handed out."""
        return self._changed_at_s

    @property
    def visible(self) -> bool:
        """``False`` from ``hidden`` on until ``expose`` or ``focus-gained`` was handed out."""
        return self._visible

    def feed(self, *events: ScreenEvent) -> None:
        """Queue events; each is delivered by the first ``poll`` at or after its ``at_s``."""
        self._events.extend(events)
        self._events.sort(key=lambda event: event.at_s)

    def press(self, *keys: str, after_s: float = 0.0, shift: bool = False, control: bool = False) -> None:
        """Queue key presses, due ``after_s`` from now; a single character also arrives as ``text``."""
        at_s = self._clock.monotonic_s() + after_s
        for key in keys:
            self.feed(ScreenEvent("key", at_s, key=key, shift=shift, control=control))
            typed = " " if key == "space" else key
            if len(typed) == 1 and not control:
                self.feed(ScreenEvent("text", at_s, text=typed.upper() if shift else typed))

    def type_text(self, text: str, *, after_s: float = 0.0) -> None:
        """Queue a word as a person would type it, without a Return."""
        for character in text:
            key = "space" if character == " " else character.lower()
            self.press(key, after_s=after_s, shift=character.isupper())

    def happen(self, kind: str, *, after_s: float = 0.0, x: int = 0, y: int = 0, button: int = 0) -> None:
        """Queue an event that is no key: ``expose``, ``focus-lost``, ``pointer-down`` and so on."""
        self.feed(ScreenEvent(kind, self._clock.monotonic_s() + after_s, x=x, y=y, button=button))

    def cover(self, name: str, *, after_s: float = 0.0, for_s: float = math.inf) -> None:
        """Have another window lie over the pattern for a while; every proof fails meanwhile."""
        begin_s = self._clock.monotonic_s() + after_s
        self._over.append((begin_s, begin_s + for_s, name))
        self.feed(ScreenEvent("covered", begin_s, text=name))

    def prove(self, around: Rect | None) -> Proof:
        """Fail while something told by ``cover`` lies over the pattern."""
        self.proofs.append(around)
        now_s = self._clock.monotonic_s()
        for begin_s, end_s, name in self._over:
            if begin_s <= now_s < end_s:
                return Proof(holds=False, why=f"{name} lies over the pattern", compared=True)
        return Proof(holds=True, compared=True)

    def show(self, frame: Frame, fade_s: float | None = None, card: Card | None = None) -> Shown:
        """Take the frame as shown once the fade's time has passed; Escape or quit meanwhile raises ``Stopped``."""
        size = (self.facts.width_px, self.facts.height_px)
        if self.closed:
            raise ScreenFault("the screen is closed already; open it again")
        if (frame.width, frame.height) != size:
            raise ScreenFault(
                f"pattern '{frame.pattern}' is {frame.width} x {frame.height} pixels, the screen {size[0]} x {size[1]}"
            )
        self._clock.sleep(self._fade_s if fade_s is None else fade_s)
        now_s = self._clock.monotonic_s()
        asked = [event for event in self._events if event.stops and event.at_s <= now_s]
        if asked:
            self._events.remove(asked[0])
            self.darken()
            stop_if_asked(asked)
        self._frame = frame
        self._changed_at_s = now_s
        self.card_now, self.page_now, self.desk_now = card, None, None
        if card is not None:
            self.note.cards.append(card)
        self.outlines_now = ()
        digest = hashlib.sha256(raster(frame).tobytes()).hexdigest()
        shown = Shown(frame=frame, at_s=now_s, frame_sha256=digest)
        self.note.shown.append(shown)
        return shown

    def card(self, card: Card | None, outlines: Sequence[tuple[int, int, int, int]] = ()) -> None:
        """Remember the card, and the outlines with it."""
        if card is not None or outlines or self.card_now is not None or self.outlines_now:
            self._changed_at_s = self._clock.monotonic_s()
        self.card_now, self.outlines_now = card, tuple(outlines)
        if outlines:
            self.outlined.append(self.outlines_now)
        self.note.cards.append(card)

    def page(self, page: Page) -> None:
        """Take the page as shown, over black."""
        self._over_black()
        self.page_now = page
        self.note.pages.append(page)

    def desk(self, desk: Desk) -> None:
        """Take the desk as shown, over black."""
        self._over_black()
        self.desk_now = desk
        self.note.desks.append(desk)

    def _over_black(self) -> None:
        if self.closed:
            raise ScreenFault("the screen is closed already; open it again")
        self._frame = Frame("field", self.facts.width_px, self.facts.height_px, BLACK, self._frame.rect)
        self._changed_at_s = self._clock.monotonic_s()
        self.card_now, self.outlines_now, self.page_now, self.desk_now = None, (), None, None

    def row_at(self, x: int, y: int) -> str:
        """Take the page's rows to stand under each other, ten pixels each, from the top."""
        rows = self.page_now.items if self.page_now is not None else ()
        return rows[y // ROW_PX].id if 0 <= y // ROW_PX < len(rows) else ""

    def outlines(self, frame_over: Sequence[tuple[int, int, int, int]]) -> None:
        """Remember the outlines."""
        self.outlines_now = tuple(frame_over)
        self.outlined.append(self.outlines_now)
        self._changed_at_s = self._clock.monotonic_s()

    def darken(self) -> None:
        """Take black as shown, at once."""
        self._frame = Frame("field", self.facts.width_px, self.facts.height_px, BLACK, self._frame.rect)
        self.darkened += 1
        self.card_now, self.page_now, self.desk_now, self.outlines_now = None, None, None, ()
        self._changed_at_s = self._clock.monotonic_s()

    def poll(self) -> tuple[ScreenEvent, ...]:
        """Hand out the events that are due."""
        self.polls += 1
        now_s = self._clock.monotonic_s()
        due = tuple(event for event in self._events if event.at_s <= now_s)
        self._events = self._events[len(due) :]
        for event in due:
            if event.kind == "hidden":
                self._visible = False
            elif event.kind in {"expose", "focus-gained"}:
                self._visible = True
                self._changed_at_s = now_s
        return due

    def pixels(self) -> Picture:
        """Raster of the frame, with a plain box where a card or outlines lie over it."""
        picture = raster(self._frame).copy()
        if self.card_now is not None:
            picture[-max(1, self.facts.height_px // 6) :, : max(1, self.facts.width_px // 4)] = CARD_CODE
        for x, y, w, h in self.outlines_now:
            left, top = max(0, x), max(0, y)
            picture[top : y + h, left : left + 1] = CARD_CODE
            picture[top : y + h, max(0, x + w - 1) : x + w] = CARD_CODE
            picture[top : top + 1, left : x + w] = CARD_CODE
            picture[max(0, y + h - 1) : y + h, left : x + w] = CARD_CODE
        return picture

    def close(self, said: tuple[str, ...] = ()) -> None:
        """Leave; calling it twice does no harm."""
        self.said = said or self.said
        self.closed = True
