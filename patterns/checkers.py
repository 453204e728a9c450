"""Checkerboards: of stated columns and rows, and of single pixels."""

from __future__ import annotations

import numpy as np

from patterns.errors import PatternError
from patterns.fields import make_frame
from patterns.frame import Fill, Frame, Rect
from patterns.mix import coloured_tile, spread
from patterns.parameters import Parameter
from patterns.place import borders, screen_rect
from patterns.registry import Ground, pattern

PHASE = Parameter("phase", "integer", "0: the top left cell has codes; 1: it has the background", 0, low=0, high=1)


@pattern(
    "checkerboard",
    "columns x rows of cells, in codes and background by turns",
    Parameter("columns", "integer", "cells across", 8, low=1, high=1024),
    Parameter("rows", "integer", "cells down", 6, low=1, high=1024),
    PHASE,
)
def checkerboard(ground: Ground, *, columns: int, rows: int, phase: int) -> Frame:
    """Lay a checkerboard over the whole screen.

    Geometry: borders at the pixel nearest to ``i * W / columns`` and ``j * H / rows``; cell (i, j) has ``codes`` where
    ``i + j + phase`` is even. Both phases together light every pixel once. ``lit_share``: the area in ``codes``.
    Source: n x m checkerboard contrast in both phases, IDMS (from memory).
    """
    if columns > ground.width or rows > ground.height:
        raise PatternError(
            f"pattern {ground.pattern}: {columns} x {rows} cells do not fit on {ground.width} x {ground.height} pixels:"
            " a cell has at least one pixel"
        )
    across, down = borders(ground.width, columns), borders(ground.height, rows)
    fills = tuple(
        Fill(Rect(across[i], down[j], across[i + 1] - across[i], down[j + 1] - down[j]), ground.codes)
        for j in range(rows)
        for i in range(columns)
        if (i + j + phase) % 2 == 0
    )
    lit = sum(fill.rect.area for fill in fills) / (ground.width * ground.height)
    shape = (("columns", columns), ("rows", rows), ("phase", phase))
    return make_frame(ground, screen_rect(ground), fills, lit, shape)


@pattern("pixel-checker", "a checkerboard of single pixels: shows at once when anything is scaled", PHASE)
def pixel_checker(ground: Ground, *, phase: int) -> Frame:
    """Give every second pixel ``codes`` and the others the background.

    Geometry: pixel (x, y) has ``codes`` where ``x + y + phase`` is even. ``lit_share`` is one half, to the pixel.
    Source: common practice, no source.
    """
    pixels = np.empty((ground.height, ground.width, 3), dtype=np.uint8)
    whole = screen_rect(ground)
    tile = coloured_tile(ground.background)
    colour = coloured_tile(ground.codes)
    for row in range(2):
        column = (row + phase) % 2
        tile[row::2, column::2] = colour[row::2, column::2]
    spread(pixels, whole, tile)
    lit = (whole.area + (1 if whole.area % 2 and phase == 0 else 0)) // 2
    share = lit / whole.area
    return make_frame(ground, whole, (), share, (("phase", phase),), pixels=pixels)
