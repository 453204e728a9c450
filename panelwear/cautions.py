"""What a person must know before the first bright or patterned field; said on the screen and on the terminal."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Caution:
    """One thing to know."""

    about: str
    """A word or two it begins with on the screen."""
    text: str
    """The whole of it."""


LIGHT: tuple[Caution, ...] = (
    Caution(
        "Seizures",
        "Bright fields, checkerboards and lines follow. Do not go on if you, or anybody who can see this screen, may "
        "have photosensitive seizures.",
    ),
    Caution(
        "Glare",
        "In a dark room a bright field dazzles. Do not stare into it; look away while the probe reads; rest your eyes "
        "every half hour.",
    ),
    Caution(
        "Escape",
        "Escape makes the screen dark at once, at any time. Changes are faded, and at most two begin in a second; "
        "only what is smaller than a two-thousandth of the screen may change faster.",
    ),
)
"""Before any pattern, whatever it is shown for."""

CAUTIONS: tuple[Caution, ...] = (
    *LIGHT,
    Caution("Heat", "A panel run hard gets hot: leave its vents free and do not press the probe on the glass."),
    Caution(
        "Worth",
        "What is measured here describes this panel on this day. It is no warranty evidence and no safety test; "
        "local codes and licensed practice come first.",
    ),
)
"""Before an inspection."""
