"""Waiting for a person's hand: every loop that looks at the screen's events goes through here, and so does Escape."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Iterable, Iterator

from groundwork.clock import Clock
from panelwear.errors import Stopped
from panelwear.screen.contract import Screen, ScreenEvent

TELL_SHOWN = "PANELWEAR_TELL_SHOWN"
"""Set to 1, each frame that is on is told on stdout as ``SHOWN name WxH at_s``, and each moment from which a person's
Return is heard as ``LISTENS``, each page as ``PAGE title`` behind where its rows stand, ``ROWS {id: [x, y, w, h]}``:
tests of the real screen wait for them."""
SLICE_S = 0.02
"""The screen is pumped this often: a key is answered at once, and no desktop calls the program hung."""
GO_ON_KEYS = {"return", "space"}
HELP_KEYS = {"h", "?", "f1"}


def moments(
    screen: Screen,
    clock: Clock,
    until_s: float | Callable[[], float] = math.inf,
    slice_s: float = SLICE_S,
    look: Callable[[Screen], tuple[ScreenEvent, ...]] | None = None,
) -> Iterator[tuple[ScreenEvent, ...]]:
    """Let time pass slice by slice, and yield what happened in each; most often nothing did.

    Args:
        screen: Whose events they are.
        clock: Waits.
        until_s: Moment of the clock's monotonic time at which it ends; a function where that may move meanwhile.
        slice_s: Seconds from one look to the next.
        look: Takes the events in the place of ``happened``, where Escape may mean something else than to stop.

    Raises:
        Stopped: Escape, or the window was closed.
    """
    while (left_s := (until_s() if callable(until_s) else until_s) - clock.monotonic_s()) > 0:
        clock.sleep(min(slice_s, left_s))
        yield (look or happened)(screen)


def happened(screen: Screen) -> tuple[ScreenEvent, ...]:
    """Look once without waiting; ``Stopped`` as in ``moments``."""
    events = screen.poll()
    stop_if_asked(events, screen)
    return events


def stop_if_asked(events: Iterable[ScreenEvent], screen: Screen | None = None) -> None:
    """Raise ``Stopped`` for Escape and for a closed window; a Return of the same moment does not take its place.

    ``screen`` goes black first: what is to be stored and summed up may take a while.
    """
    if any(event.stops for event in events):
        if screen is not None:
            screen.darken()
        raise Stopped("stopped at the screen; everything up to here is kept")


def tell_test(line: str) -> None:
    """Tell a test of the real screen, which reads standard output, that something has come about."""
    if os.environ.get(TELL_SHOWN) == "1":
        print(line, flush=True)  # noqa: T201 - asked for by a test


def goes_on(event: ScreenEvent) -> bool:
    """Tell whether an event means: go on."""
    return (event.kind == "key" and event.key in GO_ON_KEYS) or clicked(event)


def clicked(event: ScreenEvent, button: int = 1) -> bool:
    """Tell whether a button of the mouse went down."""
    return event.kind == "pointer-down" and event.button == button


def asks_help(event: ScreenEvent) -> bool:
    """Tell whether help is asked for, where no text is being typed."""
    return event.kind == "key" and event.key in HELP_KEYS


def is_key_or_click(event: ScreenEvent) -> bool:
    """Tell whether it is any key or any button: the answer where every one will do."""
    return event.kind in {"key", "pointer-down"}


def is_hand(event: ScreenEvent) -> bool:
    """Tell whether somebody is at the screen."""
    return event.kind in {"key", "wheel", "pointer-move", "pointer-down"}
