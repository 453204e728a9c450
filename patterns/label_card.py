"""A title card with a code beside its words that a program reads out of a photograph of it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from patterns.errors import PatternError
from patterns.fields import make_frame
from patterns.font import fitting_scale, text_mask
from patterns.frame import BLACK, Codes, Fill, Frame, Rect
from patterns.place import runs, screen_rect
from patterns.registry import Ground
from patterns.title_card import broken_to_fit

NAME = "label-card"
QUIET_MODULES = 4
"""Light modules round the code on every side: ISO/IEC 18004 (from memory) asks for four."""
LEAST_MODULE_PX = 2
MARGIN = 1 / 16
"""Free on every side and between words and code, as a share of the screen's height."""


def label_card(width: int, height: int, codes: Codes, lines: Sequence[str], modules: NDArray[np.bool_]) -> Frame:
    """Draw words at the left and a matrix code at the right.

    It takes a matrix, which nobody types, and so stands outside the registry.

    Geometry: the code is a square at the right, in the middle of the height, each module the largest whole number of
    pixels with which it takes at most 7/8 of the height and half of the width, quiet zone of four modules included.
    Its light modules and the words have ``codes``, its dark modules and the rest are black. Words as on ``title-card``.
    ``lit_share``: the pixels lit. Source: module size and quiet zone, ISO/IEC 18004 (from memory); layout our own.

    Args:
        width: Pixels across the screen.
        height: Pixels down the screen.
        codes: Drive levels of what is lit; dim.
        lines: The words.
        modules: ``(n, n)``, true where a module is dark, without its quiet zone.

    Raises:
        PatternError: the code or the words do not fit on the screen.
    """
    ground = Ground(NAME, width, height, codes, BLACK)
    margin = round(MARGIN * height)
    across = modules.shape[1] + 2 * QUIET_MODULES
    module_px = min(height - 2 * margin, width // 2 - margin) // across
    if module_px < LEAST_MODULE_PX:
        raise PatternError(
            f"pattern {NAME}: a code of {modules.shape[1]} modules needs {LEAST_MODULE_PX * across} pixels of height"
            f" and half the width, this screen has {width} x {height}"
        )
    side = module_px * across
    square = Rect(width - margin - side, (height - side) // 2, side, side)
    words = _words(ground, lines, Rect(margin, margin, square.x - 2 * margin, height - 2 * margin))
    inside = square.x + QUIET_MODULES * module_px, square.y + QUIET_MODULES * module_px
    dark = tuple(
        Fill(Rect(inside[0] + r.x * module_px, inside[1] + r.y * module_px, r.w * module_px, r.h * module_px), BLACK)
        for r in runs(modules)
    )
    lit = sum(one.rect.area for one in words) + square.area - sum(one.rect.area for one in dark)
    told = (("text", "\n".join(lines)), ("module_px", module_px))
    return make_frame(ground, screen_rect(ground), (*words, Fill(square, codes), *dark), lit / (width * height), told)


def _words(ground: Ground, lines: Sequence[str], room: Rect) -> tuple[Fill, ...]:
    size = (max(room.w, 1), max(room.h, 1))
    text = broken_to_fit(lines, size)
    scale = fitting_scale(text, *size)
    if scale < 1:
        raise PatternError(
            f"pattern {NAME}: the words do not fit beside the code on {ground.width} x {ground.height} pixels"
        )
    mask = text_mask(text, scale)
    top = room.y + (room.h - mask.shape[0]) // 2
    return tuple(Fill(part, ground.codes) for part in runs(mask, room.x, top))
