"""What a camera is shown before the fields: a grid of dots for its geometry, a grey staircase for its response."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from patterns.errors import PatternError
from patterns.fields import make_frame, scaled
from patterns.frame import Fill, Frame, Rect
from patterns.place import borders, screen_rect
from patterns.registry import Ground, pattern

DOT_COLUMNS, DOT_ROWS = 17, 10
LARGE_DOTS = (0, 1)
"""Places in the grid, row by row, of the two dots of twice the radius: the corner at the top left and its neighbour
along the top. No turn and no mirroring of the grid puts both where they were."""
SMALLEST_DOT_PX = 3
STAIR_COLUMNS, STAIR_ROWS = 8, 4
STAIR_CODES: tuple[int, ...] = tuple(range(0, 256, 17))
"""The levels of the staircase: 16, evenly spaced from 0 to 255."""


def dot_centres(width_px: int, height_px: int) -> NDArray[np.float64]:
    """Return the dots' centres in panel pixels, shape ``(170, 2)`` as (x, y), row by row from the top left.

    0, 0 is the outer corner of the top left pixel, so a dot on that pixel alone has its centre at 0.5, 0.5. Dots sit on
    the middles of whole pixels, so that they are drawn alike.
    """
    x = np.floor((np.arange(DOT_COLUMNS) + 0.5) / DOT_COLUMNS * width_px) + 0.5
    y = np.floor((np.arange(DOT_ROWS) + 0.5) / DOT_ROWS * height_px) + 0.5
    return np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)


def dot_radii_px(width_px: int, height_px: int) -> NDArray[np.float64]:
    """Return the dots' radii in panel pixels, shape ``(170,)``, in the order of ``dot_centres``."""
    radius = max(float(SMALLEST_DOT_PX), round(min(width_px / 320, height_px / 180)))
    radii = np.full(DOT_COLUMNS * DOT_ROWS, radius)
    radii[list(LARGE_DOTS)] *= 2
    return radii


@pattern(
    "dot-grid",
    "170 dots on black, two of them large, from which a photograph's geometry is found",
    default_codes=(128.0, 128.0, 128.0),
)
def dot_grid(ground: Ground) -> Frame:
    """Draw the dots.

    Geometry: ``dot_centres`` and ``dot_radii_px``; a pixel is lit where its middle lies within the radius. Dots are
    small against their distance, so that the middle of a disc's picture is the picture of its middle to second order.
    ``lit_share``: the pixels lit. Source: common practice in camera calibration, no source; the layout is our own.
    """
    if ground.width < 20 * DOT_COLUMNS or ground.height < 20 * DOT_ROWS:
        raise PatternError(
            f"pattern {ground.pattern}: needs at least {20 * DOT_COLUMNS} x {20 * DOT_ROWS} pixels, this screen has"
            f" {ground.width} x {ground.height}"
        )
    fills = tuple(
        Fill(rect, ground.codes)
        for centre, radius in zip(
            dot_centres(ground.width, ground.height), dot_radii_px(ground.width, ground.height), strict=True
        )
        for rect in _disc(float(centre[0]), float(centre[1]), float(radius))
    )
    lit = sum(one.rect.area for one in fills) / (ground.width * ground.height)
    return make_frame(ground, screen_rect(ground), fills, lit)


def _disc(x: float, y: float, radius: float) -> list[Rect]:
    """Return a disc as one rectangle for each of its rows of pixels."""
    rects = []
    for row in range(-int(radius), int(radius) + 1):
        half = int(np.sqrt(radius**2 - row**2))
        rects.append(Rect(int(x) - half, int(y) + row, 2 * half + 1, 1))
    return rects


def stair_cells(width_px: int, height_px: int) -> tuple[tuple[Rect, int], ...]:
    """Return the 32 cells of the staircase with their drive levels, row by row from the top left.

    Each level stands twice, at places that mirror each other through the screen's middle: what falls off evenly from
    one side to the other has the same mean for every level.
    """
    across, down = borders(width_px, STAIR_COLUMNS), borders(height_px, STAIR_ROWS)
    codes = (*STAIR_CODES, *reversed(STAIR_CODES))
    return tuple(
        (Rect(across[column], down[row], across[column + 1] - across[column], down[row + 1] - down[row]), code)
        for (row, column), code in zip(np.ndindex(STAIR_ROWS, STAIR_COLUMNS), codes, strict=True)
    )


@pattern("grey-stairs", "16 levels of grey, each twice, for the response of a camera")
def grey_stairs(ground: Ground) -> Frame:
    """Draw the staircase.

    Geometry: ``stair_cells``, 8 x 4 of them, in ``level * codes / 255`` rounded to whole drive levels.
    ``lit_share`` 1. Source: grey scales for a camera's response, ISO 14524 (from memory); the layout is our own.
    """
    if ground.width < STAIR_COLUMNS or ground.height < STAIR_ROWS:
        raise PatternError(
            f"pattern {ground.pattern}: needs at least {STAIR_COLUMNS} x {STAIR_ROWS} pixels, this screen has"
            f" {ground.width} x {ground.height}"
        )
    fills = tuple(Fill(rect, scaled(ground.codes, code)) for rect, code in stair_cells(ground.width, ground.height))
    return make_frame(ground, screen_rect(ground), fills, 1.0)
