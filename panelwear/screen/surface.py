"""The real screen: full screen on one monitor, at the monitor's own pixels, through the flash governor."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from groundwork.clock import Clock
from panelwear.errors import ScreenFault
from panelwear.screen.bands import MANY_FILLS, blank
from panelwear.screen.card import draw_card, draw_outline
from panelwear.screen.contract import Card, Proof, ScreenEvent, ScreenFacts, Shown
from panelwear.screen.desk import Desk
from panelwear.screen.desk_sheet import DeskSheet
from panelwear.screen.events import translate
from panelwear.screen.fade import AlphaFade, CellFade, Fading, cells
from panelwear.screen.governor import Governor
from panelwear.screen.light import Codes8
from panelwear.screen.lost import LossGuard
from panelwear.screen.page import Page
from panelwear.screen.paint import Digests, paint
from panelwear.screen.palette import least_text_px
from panelwear.screen.sheet import Sheet
from panelwear.screen.waiting import SLICE_S, stop_if_asked, tell_test
from panelwear.screen.watch import Watch
from patterns.frame import Frame, Picture, Rect

FADE_STEP_S = 1 / 60
DARKEN_S = 0.12
"""The last fade, to black: with what comes before it the screen is dark 0.2 s after Escape. It waits for no half
second; as nothing follows it but black, it adds one change and no flash."""
DARK_HOLD_S = 2.0
"""Black with a dim card before the desktop comes back: eyes that have adapted to the dark are warned."""
LEAVING = Card(("The desktop comes back in two seconds, and it may be bright.",), corner="centre")
LEAVING_SAID = "The desktop comes back in some seconds, or with a key, and it may be bright."
SAID_S = 6.0
"""How much longer it is dark where something is to be read."""
Paint = Callable[[Any], None]


class PygameScreen:
    """A ``panelwear.screen.contract.Screen`` on a monitor; ``panelwear.screen.window.open_screen`` makes it."""

    def __init__(
        self,
        pygame: Any,
        surface: Any,
        facts: ScreenFacts,
        *,
        clock: Clock,
        governor: Governor,
        watch: Watch | None = None,
        left: Callable[[], None] = lambda: None,
    ) -> None:
        self.facts = facts
        self._watch = watch or Watch()
        self._pygame = pygame
        self._surface = surface
        self._clock = clock
        self._governor = governor
        self._peak_cd_m2 = governor.viewing.peak_cd_m2
        self._left = left
        """Called when the window has gone."""
        self._guard = LossGuard(pygame)
        self._digests = Digests()
        self._desks = DeskSheet(pygame, self._peak_cd_m2)
        self._pending: list[ScreenEvent] = []
        self._frame = blank(facts.width_px, facts.height_px)
        self._coming: Frame | None = None
        self._bare = True
        """Whether the surface holds the frame and nothing else: no card, no half fade."""
        self._rows: dict[str, tuple[int, int, int, int]] | None = None
        """Where the rows of the page that is on stand; ``None``: no page is on."""
        self._closed = False
        now_s = self._changed_at_s = clock.monotonic_s()
        governor.took(governor.codes_of(self._frame), now_s, now_s, big=True)

    @property
    def changed_at_s(self) -> float:
        """Monotonic clock when the pixels on the screen last changed."""
        return self._changed_at_s

    @property
    def visible(self) -> bool:
        """Whether the window is neither hidden nor minimised."""
        self._check_open()
        return bool(self._pygame.display.get_active())

    def prove(self, around: Rect | None) -> Proof:
        """Compare what the display server holds with what was drawn."""
        self._check_open()
        self._pump()
        return self._watch.prove(np.asarray(self._surface.get_view("2")).T, around)

    def show(self, frame: Frame, fade_s: float | None = None, card: Card | None = None) -> Shown:
        """Put a frame up, through the governor; returns when its exact pixels are on and their digest is known."""
        size = (self.facts.width_px, self.facts.height_px)
        if (frame.width, frame.height) != size:
            raise ScreenFault(
                f"pattern '{frame.pattern}' is {frame.width} x {frame.height} pixels, the screen {size[0]} x {size[1]}"
            )
        self._coming = frame
        self._leave_page()
        if card is None:
            at_s, governed = self._change(lambda surface: paint(surface, frame), self._codes_of(frame), fade_s)
        else:
            ready = self._surface.copy()
            paint(ready, frame)
            self._lay(ready, card)
            at_s, governed = self._change(lambda surface: surface.blit(ready, (0, 0)), self._codes_at(ready), fade_s)
        self._frame, self._bare = frame, card is None
        tell_test(f"SHOWN {frame.pattern} {size[0]}x{size[1]} {at_s:.3f}")
        # The digest is worked out after the frame is on: the panel settles meanwhile.
        return Shown(frame=frame, at_s=at_s, frame_sha256=self._digests.of(frame), governed=governed)

    def card(self, card: Card | None, outlines: Sequence[tuple[int, int, int, int]] = ()) -> None:
        """Lay a card over the frame, or take it away; a big change of light waits for the governor here too."""

        def with_card(surface: Any) -> None:
            paint(surface, self._frame)
            for box in outlines:
                draw_outline(surface, box, self._peak_cd_m2)
            if card is not None:
                self._lay(surface, card)

        self._overlay(with_card, bare=card is None and not outlines)

    def _lay(self, surface: Any, card: Card) -> None:
        draw_card(surface, card, self._peak_cd_m2, least_text_px(self._governor.viewing))

    def page(self, page: Page) -> None:
        """Put a whole screen of words up, with the mouse to be seen."""
        self._check_open()
        ready = self._surface.copy()
        self._put_up(ready, Sheet(ready, page, self._governor.viewing).draw())
        tell_test(f"ROWS {json.dumps(self._rows)}")
        tell_test(f"PAGE {page.title}")

    def desk(self, desk: Desk) -> None:
        """Put lines and words on the panel itself, with the mouse to be seen."""
        self._check_open()
        ready = self._surface.copy()
        self._desks.draw(ready, desk)
        self._put_up(ready, {})
        tell_test(f"DESK {desk.summary}")

    def _put_up(self, ready: Any, rows: dict[str, tuple[int, int, int, int]]) -> None:
        """Bring a drawn surface on that is no frame, with the mouse to be seen."""
        self._coming, self._bare = None, False
        self._change(lambda surface: surface.blit(ready, (0, 0)), self._codes_at(ready), None)
        self._frame, self._rows = blank(self.facts.width_px, self.facts.height_px), rows
        self._pygame.mouse.set_visible(True)

    def row_at(self, x: int, y: int) -> str:
        """Name the row of the page that stands at a pixel."""
        rows = self._rows or {}
        inside = (name for name, (left, top, w, h) in rows.items() if left <= x < left + w and top <= y < top + h)
        return next(inside, "")

    def _leave_page(self) -> None:
        if self._rows is not None:
            self._rows = None
            self._pygame.mouse.set_visible(False)

    def outlines(self, frame_over: Sequence[tuple[int, int, int, int]]) -> None:
        """Draw thin dim outlines over the frame."""
        self.card(None, frame_over)

    def _overlay(self, draw: Paint, *, bare: bool) -> None:
        self._check_open()
        if bare and self._bare:
            return  # nothing lies over the frame, and nothing is to
        self._coming = None
        self._leave_page()
        ready = self._surface.copy()
        draw(ready)
        self._bare = False
        self._change(lambda surface: surface.blit(ready, (0, 0)), self._codes_at(ready), None)
        self._bare = bare

    def _codes_of(self, frame: Frame) -> Codes8:
        if frame.pixels is None and len(frame.fills) > MANY_FILLS:
            drawn = self._surface.copy()
            paint(drawn, frame)
            return self._codes_at(drawn)
        return self._governor.codes_of(frame)

    def _codes_at(self, surface: Any) -> Codes8:
        points = self._governor.points
        packed = np.asarray(surface.get_view("2"))[points.x, points.y]
        return np.stack([packed >> 16, packed >> 8, packed], axis=-1).astype(np.uint8)

    def _change(self, draw: Paint, codes: Codes8, fade_s: float | None) -> tuple[float, bool]:
        """Bring new pixels on; returns when they were on, and whether the governor had to step in."""
        self._check_open()
        asked_s = self._clock.monotonic_s()
        permit = self._governor.permit(codes, asked_s)
        self._wait_until(permit.start_s)
        start_s = self._clock.monotonic_s()
        length_s = max(permit.least_fade_s, fade_s or 0.0)
        if length_s > 0:
            self._fade(draw, start_s, length_s)
        draw(self._surface)
        self._flip()
        end_s = self._clock.monotonic_s()
        self._governor.took(codes, start_s, end_s, big=permit.big)
        slowed = fade_s is not None and length_s > fade_s
        return end_s, slowed or permit.start_s > asked_s + SLICE_S

    def _fade(self, draw: Paint, start_s: float, length_s: float) -> None:
        if self._clock.fast:  # nobody sees it
            self._clock.sleep(length_s)
            self._pump_or_stop()
            return
        fade = self._fading(draw)
        while (now_s := self._clock.monotonic_s()) < start_s + length_s:
            if fade.to((now_s - start_s) / length_s):
                self._flip()
            self._pump_or_stop()
            rest_s = start_s + length_s - self._clock.monotonic_s()
            self._clock.sleep(min(max(0.0, rest_s), max(0.0, now_s + FADE_STEP_S - self._clock.monotonic_s())))

    def _fading(self, draw: Paint) -> Fading:
        changing = cells(self._frame, self._coming) if self._coming is not None and self._bare else None
        if changing is not None:
            return CellFade(self._surface, changing)
        target = self._surface.copy()
        draw(target)
        return AlphaFade(self._surface, target)

    def _wait_until(self, at_s: float) -> None:
        self._pump_or_stop()
        while (rest_s := at_s - self._clock.monotonic_s()) > 0:
            self._clock.sleep(min(SLICE_S, rest_s))
            self._pump_or_stop()

    def _pump_or_stop(self) -> None:
        self._pump()
        asked = [event for event in self._pending if event.stops]
        if asked and not self._closed:
            self._pending.remove(asked[0])
            self.darken()
            stop_if_asked(asked)

    def _pump(self) -> None:
        try:
            events = self._pygame.event.get()
        except self._pygame.error as error:
            raise self._fault(error) from error
        self._check_lost()
        at_s = self._clock.monotonic_s()
        ours = [found for event in events if (found := translate(event, at_s)) is not None]
        told = self._watch.take(ours, at_s)
        self._pending += ours + told
        if any(event.kind in {"expose", "focus-gained", "resized"} for event in ours):
            self._flip()  # only this brings back what another window had covered
        elif any(event.kind == "covered" for event in told):
            # With a compositor nothing is to be repainted, and the light changed all the same.
            self._changed_at_s = at_s

    def poll(self) -> tuple[ScreenEvent, ...]:
        """Pump events, repaint what was covered, and hand out what happened."""
        self._check_open()
        self._pump()
        events, self._pending = tuple(self._pending), []
        return events

    def pixels(self) -> Picture:
        """Copy the surface, ``(height, width, 3)`` uint8."""
        view = np.asarray(self._surface.get_view("2")).T
        return np.stack([view >> 16, view >> 8, view], axis=-1).astype(np.uint8)

    def close(self, said: tuple[str, ...] = ()) -> None:
        """Go black, whatever the governor waits for, hold that dark for two seconds, and leave. Twice does no harm.

        ``said`` is told meanwhile, for some seconds longer; then a key ends it.
        """
        if self._closed:
            return
        self._closed = True
        self._watch.close()
        try:
            self.darken()
            self._hold_dark(said)
        except ScreenFault:
            return
        finally:
            if not self._guard.lost and self._pygame.display.get_init():
                self._pygame.mouse.set_visible(True)
                self._pygame.display.quit()
                self._left()

    def darken(self) -> None:
        """Go black at once, past the governor; black already stays as it is."""
        self._check_open()
        # No name for the view: as long as it lives nothing can be drawn.
        if not (np.asarray(self._surface.get_view("2")) & 0xFFFFFF).any():
            return
        black = blank(self.facts.width_px, self.facts.height_px)
        start_s = self._clock.monotonic_s()
        fade = AlphaFade(self._surface, self._black())
        while not self._clock.fast and (now_s := self._clock.monotonic_s()) < start_s + DARKEN_S:
            if fade.to((now_s - start_s) / DARKEN_S):
                self._flip()
            self._pump()
            self._clock.sleep(FADE_STEP_S)
        self._surface.fill((0, 0, 0))
        self._flip()
        self._frame, self._coming, self._bare = black, None, True
        self._leave_page()
        self._governor.took(self._governor.codes_of(black), start_s, self._clock.monotonic_s(), big=True)

    def _black(self) -> Any:
        black = self._surface.copy()
        black.fill((0, 0, 0))
        return black

    def _hold_dark(self, said: tuple[str, ...]) -> None:
        """Stay dark until eyes in the dark have had time to turn away from the desktop, and to read what is said."""
        if self.facts.off_screen:
            return
        self._lay(self._surface, replace(LEAVING, lines=(*said, "", LEAVING_SAID)) if said else LEAVING)
        self._flip()
        least_s = self._clock.monotonic_s() + DARK_HOLD_S
        end_s = least_s + (SAID_S if said else 0.0)
        while (now_s := self._clock.monotonic_s()) < end_s:
            self._clock.sleep(min(SLICE_S, end_s - now_s))
            self._pump()
            pressed, self._pending = any(event.kind in {"key", "pointer-down"} for event in self._pending), []
            if pressed and now_s >= least_s:
                return

    def _flip(self) -> None:
        try:
            self._pygame.display.flip()
        except self._pygame.error as error:
            raise self._fault(error) from error
        self._changed_at_s = self._clock.monotonic_s()
        self._check_lost()

    def _check_lost(self) -> None:
        if self._guard.lost:
            raise ScreenFault("the display server went away while a pattern was on; what was read is kept")

    def _check_open(self) -> None:
        self._check_lost()
        if not self._pygame.display.get_init():
            raise ScreenFault("the screen is closed already; open it again")

    def _fault(self, error: Exception) -> ScreenFault:
        return ScreenFault(f"the screen cannot be drawn on any more ({error}); what was read is kept")
