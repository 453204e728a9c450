"""Text as pixels, in our own small bitmap font (``patterns.glyphs``): no font file, the same on every machine."""

from __future__ import annotations

import unicodedata
from functools import cache

import numpy as np
from numpy.typing import NDArray

from patterns.glyphs import SHEETS

ADVANCE_PX = 6
LINE_PX = 12
_UNKNOWN = "\ufffd"

Mask = NDArray[np.bool_]


@cache
def _glyphs() -> dict[str, Mask]:
    found: dict[str, Mask] = {}
    for characters, rows in SHEETS:
        sheet = np.array([[dot == "#" for dot in row] for row in rows])
        for i, character in enumerate(characters):
            found[character] = sheet[:, i * ADVANCE_PX : i * ADVANCE_PX + ADVANCE_PX - 1]
    return found


def glyph(character: str) -> Mask:
    """Return one character, ``(9, 5)`` bool; its base letter when the accent is not drawn, else a hollow box."""
    known = _glyphs()
    if character in known:
        return known[character]
    base = unicodedata.normalize("NFKD", character)[:1]
    return known.get(base, known[_UNKNOWN])


def text_mask(text: str, scale: int = 1) -> Mask:
    """Return a text as lit pixels; lines are parted by a line feed.

    Args:
        text: any characters; what the font lacks is a hollow box.
        scale: whole number of pixels for each dot of the font.

    Returns:
        ``(12 * scale * lines - 3 * scale, (6 * longest - 1) * scale)`` bool.
    """
    lines = text.split("\n")
    longest = max(1, *(len(line) for line in lines))
    mask = np.zeros((LINE_PX * len(lines) - 3, ADVANCE_PX * longest - 1), dtype=np.bool_)
    for row, line in enumerate(lines):
        for column, character in enumerate(line):
            y, x = row * LINE_PX, column * ADVANCE_PX
            mask[y : y + 9, x : x + 5] = glyph(character)
    return np.repeat(np.repeat(mask, scale, axis=0), scale, axis=1)


def fitting_scale(text: str, width: int, height: int) -> int:
    """Return the largest whole scale at which a text fits into so many pixels; 0 when it does not fit at all."""
    mask = text_mask(text)
    return min(width // int(mask.shape[1]), height // int(mask.shape[0]))
