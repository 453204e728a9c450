"""The rehearsal's bench: an off-screen surface, a virtual clock, a probe on a real socket that sees the surface."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime

from groundwork.clock import VirtualClock
from panelwear.screen.contract import Card, Proof, Screen, ScreenEvent, Shown
from panelwear.screen.desk import Desk
from panelwear.screen.page import Page
from patterns.frame import Frame, Picture, Rect

MOVING = ("warm-up", "pause")
"""Patterns that move and are never read."""
MOVING_EVERY_S = 10.0


class VirtualBenchClock(VirtualClock):
    """A virtual clock that can jump to a date: months lie between two checkpoints."""

    def jump_to(self, moment: datetime) -> None:
        """Let time pass until a moment; does nothing when that has passed already."""
        self.sleep((moment - self.utc()).total_seconds())


class StampClock:
    """The bench's clock as the probe sees it: it stamps, the engine lets the dwell pass."""

    fast = False

    def __init__(self, clock: VirtualClock) -> None:
        self._clock = clock

    def monotonic_s(self) -> float:
        """Virtual seconds."""
        return self._clock.monotonic_s()

    def utc(self) -> datetime:
        """Virtual wall-clock time."""
        return self._clock.utc()

    def sleep(self, seconds: float) -> None:
        """Jump ahead."""
        self._clock.sleep(seconds)


class WatchedScreen:
    """A screen, and the pixels its surface really holds; they are copied again after every change, and only then.

    Of a picture that only moves (warm-up, pause) nobody sees the frames here: one is drawn every ten virtual seconds.
    """

    def __init__(self, screen: Screen, clock: VirtualClock) -> None:
        self._screen = screen
        self._clock = clock
        self._seen: Picture | None = None
        self._moving: Shown | None = None
        self.facts = screen.facts

    @property
    def changed_at_s(self) -> float:
        """Monotonic clock when the pixels last changed."""
        return self._screen.changed_at_s

    @property
    def visible(self) -> bool:
        """Whether there is something to see."""
        return self._screen.visible

    def show(self, frame: Frame, fade_s: float | None = None, card: Card | None = None) -> Shown:
        """Put a frame up."""
        now_s, last = self._clock.monotonic_s(), self._moving
        if last is not None and last.frame.pattern == frame.pattern and now_s - last.at_s < MOVING_EVERY_S:
            return replace(last, frame=frame)
        self._seen = None
        shown = self._screen.show(frame, fade_s, card)
        self._moving = shown if frame.pattern in MOVING else None
        return shown

    def card(self, card: Card | None, outlines: Sequence[tuple[int, int, int, int]] = ()) -> None:
        """Lay a card over the frame, or take it away."""
        self._seen = self._moving = None
        self._screen.card(card, outlines)

    def page(self, page: Page) -> None:
        """Put a screen of words up."""
        self._seen = self._moving = None
        self._screen.page(page)

    def desk(self, desk: Desk) -> None:
        """Put lines and words on the panel."""
        self._seen = self._moving = None
        self._screen.desk(desk)

    def row_at(self, x: int, y: int) -> str:
        """Name the row at a pixel."""
        return self._screen.row_at(x, y)

    def outlines(self, frame_over: Sequence[tuple[int, int, int, int]]) -> None:
        """Draw outlines over the frame."""
        self._seen = self._moving = None
        self._screen.outlines(frame_over)

    def prove(self, around: Rect | None) -> Proof:
        """Say whether the frame stands there."""
        return self._screen.prove(around)

    def darken(self) -> None:
        """Go black at once."""
        self._seen = self._moving = None
        self._screen.darken()

    def poll(self) -> tuple[ScreenEvent, ...]:
        """Pump events."""
        return self._screen.poll()

    def pixels(self) -> Picture:
        """Look at what the surface holds, ``(height, width, 3)`` uint8, not to be written to."""
        seen = self._seen
        if seen is None:
            seen = self._screen.pixels()
            seen.flags.writeable = False
            self._seen = seen
        return seen

    def close(self, said: tuple[str, ...] = ()) -> None:
        """Leave."""
        self._screen.close()


@contextmanager
def off_screen(
    size: tuple[int, int], clock: VirtualClock, active_area_mm: tuple[float, float], peak_cd_m2: float
) -> Iterator[WatchedScreen]:
    """Open a surface that nobody sees; a fast clock is allowed on nothing else.

    The environment variables the drawing library is steered by are put back afterwards.
    """
    from panelwear.screen.window import open_screen

    before = {name: value for name, value in os.environ.items() if name.startswith(("SDL_", "PYGAME_"))}
    screen = WatchedScreen(
        open_screen(clock=clock, off_screen=size, active_area_mm=active_area_mm, peak_cd_m2=peak_cd_m2),
        clock,
    )
    try:
        yield screen
    finally:
        screen.close()
        for name in [n for n in os.environ if n.startswith(("SDL_", "PYGAME_")) and n not in before]:
            del os.environ[name]
        os.environ.update(before)
