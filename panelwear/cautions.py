"""What a person must know before the first bright or patterned field; said on the screen and on the terminal."""

from __future__ import annotations

LIGHT: tuple[str, ...] = (
    "Bright fields, checkerboards and lines follow. If you, or anybody who can see this screen, may have "
    "photosensitive seizures, do not go on.",
    "In a dark room a bright field dazzles: do not stare into it, look away while the probe reads, and rest "
    "your eyes for some minutes every half hour.",
    "Changes of field are faded, and not more than two begin in a second; only what is smaller than a two-thousandth "
    "of the screen may change faster. Escape makes the screen dark at once, at any time.",
)
"""Before any pattern, whatever it is shown for."""

CAUTIONS: tuple[str, ...] = (
    *LIGHT,
    "A panel run hard gets hot: leave its vents free and do not press the probe on the glass.",
    "What is measured here describes this panel on this evening. It is no warranty evidence and no safety test; "
    "local codes and licensed practice come first.",
)
"""Before an inspection."""
