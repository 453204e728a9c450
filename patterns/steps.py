"""Labelled patches just above black and just below white."""

from __future__ import annotations

import math

from patterns.errors import PatternError
from patterns.fields import make_frame, scaled
from patterns.font import fitting_scale, text_mask
from patterns.frame import Codes, Fill, Frame, Rect
from patterns.parameters import Parameter
from patterns.place import borders, runs, screen_rect
from patterns.registry import Ground, pattern

_DARK = (1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 14, 16, 20, 24, 28, 32)
_LIGHT = (254, 253, 252, 251, 250, 249, 248, 247, 245, 243, 241, 239, 235, 231, 227, 223)


@pattern(
    "near-black",
    "labelled patches of the first codes above black",
    Parameter("levels", "integers", "the codes shown, row by row from the top left", _DARK, low=0, high=255),
    Parameter("label_code", "integer", "code of the labels; 0 leaves them out", 40, low=0, high=255),
)
def near_black(ground: Ground, *, levels: tuple[int, ...], label_code: int) -> Frame:
    """Show patches of low codes on the background, each with its code below it.

    Geometry: the screen is divided into as nearly square a number of columns and rows as holds the levels; each patch
    is the middle half of its cell's width and of its height, its label in the quarter below. Patches have
    ``level * codes / 255`` in each channel (white: grey patches; a primary: its own steps), rounded to whole codes.
    The labels are the brightest things on the screen: switch them off (0) for a reading. ``lit_share``: the patches.
    Source: near-black steps, AAPM TG18-QC form (0-5 % insets; from memory); sizes our own.
    """
    return _patches(ground, levels, ground.background, label_code)


@pattern(
    "near-white",
    "labelled patches of the last codes below white",
    Parameter("levels", "integers", "the codes shown, row by row from the top left", _LIGHT, low=0, high=255),
    Parameter("label_code", "integer", "code of the labels; 255 leaves them out", 192, low=0, high=255),
)
def near_white(ground: Ground, *, levels: tuple[int, ...], label_code: int) -> Frame:
    """Show patches of high codes on the full colour, each with its code below it.

    Geometry, levels and source as ``near-black``; the ground is ``codes`` itself and ``background`` is not used.
    ``lit_share`` 1. The whole screen is bright: a caution belongs before it.
    """
    return _patches(ground, levels, ground.codes, label_code)


def _patches(ground: Ground, levels: tuple[int, ...], around: Codes, label_code: int) -> Frame:
    columns = math.ceil(math.sqrt(len(levels)))
    rows = math.ceil(len(levels) / columns)
    if ground.width < 16 * columns or ground.height < 16 * rows:
        raise PatternError(
            f"pattern {ground.pattern}: {len(levels)} levels need at least {16 * columns} x {16 * rows} pixels, this"
            f" screen has {ground.width} x {ground.height}"
        )
    across, down = borders(ground.width, columns), borders(ground.height, rows)
    whole = screen_rect(ground)
    light = ground.pattern == "near-white"
    fills = [Fill(whole, around)] if light else []
    patches = [_patch(across, down, i, columns) for i in range(len(levels))]
    fills += [Fill(rect, scaled(ground.codes, level)) for level, rect in zip(levels, patches, strict=True)]
    if label_code != (255 if light else 0):
        labels = scaled(ground.codes, label_code)
        for level, rect in zip(levels, patches, strict=True):
            fills += [Fill(part, labels) for part in _label(str(level), rect)]
    lit = 1.0 if light else sum(rect.area for rect in patches) / whole.area
    shape = (("levels", " ".join(map(str, levels))), ("labels", int(label_code != (255 if light else 0))))
    return make_frame(ground, whole, tuple(fills), lit, shape)


def _patch(across: list[int], down: list[int], i: int, columns: int) -> Rect:
    column, row = i % columns, i // columns
    w, h = across[column + 1] - across[column], down[row + 1] - down[row]
    return Rect(across[column] + w // 4, down[row] + h // 4, w // 2, h // 2)


def _label(text: str, patch: Rect) -> tuple[Rect, ...]:
    room = patch.h // 2
    scale = min(fitting_scale(text, patch.w, room // 2), max(1, room // 18))
    if scale < 1:
        return ()
    mask = text_mask(text, scale)[: 7 * scale]
    x = patch.x + (patch.w - mask.shape[1]) // 2
    return runs(mask, x, patch.bottom + (room - mask.shape[0]) // 2)
