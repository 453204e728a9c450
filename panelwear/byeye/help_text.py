"""The words of the by-eye check: one help card, the status line, the questions of a mark."""

from __future__ import annotations

HELP_TITLE = "By eye: what the keys and the mouse do"
HELP: tuple[str, ...] = (
    "left, right: field before, next (mouse: click at the left or right edge)",
    "up, down: one code brighter, darker (wheel)",
    "Shift with up, down: a quarter of a code (middle click: finer wheel)",
    "C: channel, grey, red, green, blue",
    "M: mark what you see (drag; right button: a line; click: a spot)",
    "U: take the last mark back",
    "N: match a mark or zone",
    "T: note on the last mark",
    "Z: make a mark a zone of the panel",
    "E: earlier marks, once you have looked without them",
    "O: writing on or off",
    "Tab: all of this as a list (right click)",
    "H: this card",
    "Q: done for now",
    "Escape: screen dark at once; everything is kept",
)
MENU_TITLE = "By eye"
COMMANDS: tuple[tuple[str, str], ...] = (
    ("next", "next field"),
    ("before", "field before"),
    ("channel", "other channel"),
    ("mark", "mark with the keys"),
    ("undo", "take the last mark back"),
    ("match", "match a mark or zone"),
    ("note", "note on the last mark"),
    ("zone", "make a mark a zone"),
    ("earlier", "earlier marks on or off"),
    ("overlay", "writing on or off"),
    ("help", "help card"),
    ("leave", "done for now"),
)
"""Command and its line, for the list that Tab or a right click opens."""

NOTES: tuple[str, ...] = (
    "only from the side",
    "only on this colour",
    "moves with the picture",
    "not sure",
    "dirt on the glass?",
    "type a note",
)
METHODS: tuple[tuple[str, str], ...] = (
    ("adjustment", "turn it until it has gone (about 12 min)"),
    ("forced-choice", "brighter or darker? up to 60 answers, tighter"),
    ("detection", "what could I see at all? up to 60 answers"),
)
PLACING_KEYS = (
    "A box in the middle: arrows move · S: size · L: line or box · Shift: one pixel · Return: here · Backspace: no mark"
)
"""Said while a shape is placed by keys."""
