"""Numbers bound to their units and uncertainties, so that no line ends between them."""

from __future__ import annotations

import re

NO_BREAK = "\u00a0"
BEFORE_UNIT = re.compile(r" (?=± )|(?<=±) (?=[\d.])|(?<=[\d.]) (?=(?:%|cd/m²|K|h|mm|px|Hz|lx|°C|min)(?![\w/]))")


def unbroken(words: str) -> str:
    """Return words with blanks that no line ends at before units and around ±."""
    return BEFORE_UNIT.sub(NO_BREAK, words)
