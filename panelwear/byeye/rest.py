"""Time that has to pass: eyes adapting under a dim clock, a panel resting on a moving grey."""

from __future__ import annotations

from groundwork.clock import Clock
from panelwear.screen.contract import Card, Screen
from panelwear.screen.waiting import SLICE_S, clicked, moments
from patterns import build

MOVE_S = 0.5
"""The moving grey goes on this often."""
UNSEEN_MOVE_S = 15.0
"""The same on a fast clock, which no visible screen can have."""
CLOCK_S = 5.0
"""The dim clock is written anew this often: seldom enough not to draw the eye."""
CORNERS = ("bottom-left", "bottom-right", "top-right", "top-left")
ADAPT_CODE = 40.0
REST_CODE = 128.0


def clock_text(left_s: float) -> str:
    """Write the time left as ``m:ss``."""
    whole = max(0, round(left_s))
    return f"{whole // 60}:{whole % 60:02d}"


def _wait(screen: Screen, clock: Clock, until_s: float) -> bool:
    """Wait; returns whether the person wants to go on now. Escape and quit raise ``Stopped``."""
    # Nobody can press anything between two looks of a fast clock.
    for events in moments(screen, clock, until_s, UNSEEN_MOVE_S if clock.fast else SLICE_S):
        if any((event.kind == "key" and event.key == "return") or clicked(event) for event in events):
            return True
    return False


def adapt(screen: Screen, clock: Clock, minutes: float, *, dark: bool) -> float:
    """Let the eyes adapt under a dim clock; returns the minutes really taken (Return or a click goes on early).

    For near-black fields the screen is black, else a dim grey; the clock changes its corner each minute.
    """
    size = (screen.facts.width_px, screen.facts.height_px)
    began_s = clock.monotonic_s()
    end_s = began_s + minutes * 60
    code = 0.0 if dark else ADAPT_CODE
    frame = build("field", *size, codes=(code, code, code))
    while (now_s := clock.monotonic_s()) < end_s:
        screen.show(frame)
        corner = CORNERS[int((now_s - began_s) // 60) % len(CORNERS)]
        lines = (f"{clock_text(end_s - now_s)}  let your eyes get used to the dark", "Return or click: go on now")
        screen.card(Card(lines, corner=corner, share_done=(now_s - began_s) / (end_s - began_s)))
        if _wait(screen, clock, min(end_s, now_s + CLOCK_S)):
            break
    return (clock.monotonic_s() - began_s) / 60


def rest(screen: Screen, clock: Clock, until_s: float, said: str) -> None:
    """Rest the panel on a moving mid grey until a moment of the monotonic clock; keys do not cut it short."""
    size = (screen.facts.width_px, screen.facts.height_px)
    began_s = clock.monotonic_s()
    first = True
    while (now_s := clock.monotonic_s()) < until_s:
        screen.show(build("warm-up", *size, codes=(REST_CODE,) * 3, t_s=now_s - began_s), None if first else 0.0)
        first = False
        left_s = until_s - now_s
        if int((now_s - began_s) / MOVE_S) % 120 < 8 or left_s < 20:
            # A few seconds each minute: a card that stays would wear its own ghost in.
            screen.card(Card((f"{said}: {clock_text(left_s)} to the next look", "you may look away meanwhile")))
        _wait(screen, clock, min(until_s, now_s + (UNSEEN_MOVE_S if clock.fast else MOVE_S)))
