"""Hold a pattern for the eye: arrow keys step its level, a line on it says so, Escape or the time ends it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from groundwork.clock import Clock
from panelwear.screen.contract import Card, Screen, ScreenEvent
from panelwear.screen.waiting import moments
from patterns.frame import Codes, Frame

STEPS = {"up": 1.0, "down": -1.0, "right": 8.0, "left": -8.0}
SHIFTED = {"up": 16.0, "down": -16.0, "right": 0.125, "left": -0.125}
HELP = (
    "up, down: one drive level brighter, darker; with Shift 16",
    "right, left: 8 drive levels; with Shift an eighth of one (a spatial mix)",
    "0: back to the level it began with",
    "H: this card on and off",
    "Escape: leave",
)
NOTE_S = 2.5
"""The line that tells the level stays so long; then the pattern stands alone."""
Make = Callable[[Codes], Frame]


@dataclass(frozen=True, slots=True)
class Held:
    """One picture to be held."""

    name: str
    """What the terminal calls it, and a photograph of it."""
    make: Make
    codes: Codes
    seconds: float | None = None
    """``None``: until a key."""
    adjustable: bool = True
    """Whether keys may change it; a picture held for a camera stays as it is."""


def stepped(codes: Codes, began: Codes, step: float) -> Codes:
    """Move the channels the pattern drives by ``step`` codes; the hue's dark channels stay dark.

    Levels stay a multiple of the step away from where they began, inside 0..255.
    """
    lit = [b > 0 for b in began]
    if not any(lit):
        lit = [True, True, True]
    red, green, blue = (min(255.0, max(0.0, c + step)) if on else c for c, on in zip(codes, lit, strict=True))
    return red, green, blue


def wished(codes: Codes, began: Codes, events: tuple[ScreenEvent, ...]) -> Codes:
    """Work all keys pressed meanwhile into one wish: the last counts, nothing is played back."""
    for event in events:
        if event.kind != "key":
            continue
        if event.key in STEPS:
            codes = stepped(codes, began, (SHIFTED if event.shift else STEPS)[event.key])
        elif event.key == "0":
            codes = began
    return codes


def label(codes: Codes) -> str:
    """Write codes the way they are typed: ``128`` for a grey, ``255 0 0`` otherwise."""
    numbers = [f"{code:g}" for code in codes]
    return numbers[0] if len(set(numbers)) == 1 else " ".join(numbers)


def note_of(held: Held, codes: Codes) -> Card | None:
    """Return the line that tells which level is on and how to step it; none for what stays as it is."""
    if not held.adjustable:
        return None
    return Card((f"{held.name}: drive level {label(codes)}   arrows step it, h: all keys",), one_line=True)


def hold(screen: Screen, clock: Clock, held: Held, say: Callable[[str], None]) -> Codes:
    """Show one picture and hold it; returns the codes it ended with.

    Ends when the time is over, on Return for what is not adjustable, and with ``Stopped`` on Escape.
    """
    codes, helping = held.codes, False
    noted = _put_up(screen, clock, held, codes, say)
    end_s = clock.monotonic_s() + (math.inf if held.seconds is None else held.seconds)
    for events in moments(screen, clock, end_s):
        pressed = [event.key.lower() for event in events if event.kind == "key"]
        if not held.adjustable and "return" in pressed:
            break
        wish = wished(codes, held.codes, events) if held.adjustable else codes
        toggled = held.adjustable and pressed.count("h") % 2 == 1
        helping ^= toggled
        if wish != codes:
            codes = wish
            noted = _put_up(screen, clock, held, codes, say)
        if toggled or (helping and pressed):
            # A frame takes the card away; it comes back with the new level on it.
            screen.card(Card((f"drive level {label(codes)}", *HELP), title=held.name) if helping else None)
            noted = math.inf
        elif clock.monotonic_s() >= noted:
            screen.card(None)
            noted = math.inf
    return codes


def _put_up(screen: Screen, clock: Clock, held: Held, codes: Codes, say: Callable[[str], None]) -> float:
    """Show a level and tell it; returns when the line that tells it is to go."""
    note = note_of(held, codes)
    # With the frame, not after it: a line that came by itself would be one more change of light.
    screen.show(held.make(codes), card=note)
    say(f"{held.name}: drive level {label(codes)}")
    return math.inf if note is None else clock.monotonic_s() + NOTE_S
