"""Which cells of a map belong to which zone; a later zone lies over an earlier one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.field_map import cell_edges
from patterns.frame import Rect
from sequences.model import Zone

NOBODY, EDGE = -1, -2
"""Owners beside the zones' numbers: no zone at all; a cell that two share, or that lies at a zone's border."""

Owners = NDArray[np.int16]
Mask = NDArray[np.bool_]


def owners(panel_px: tuple[int, int], zones: Sequence[Zone]) -> Owners:
    """Return for each cell the number of the zone that lies on top there, or ``NOBODY``, or ``EDGE``."""
    across, down = cell_edges(panel_px)
    found = np.full((down.size - 1, across.size - 1), NOBODY, dtype=np.int16)
    for number, zone in enumerate(zones):
        rows, columns = whole_cells(panel_px, zone.rect)
        touched = _touched(down, zone.rect.y, zone.rect.bottom), _touched(across, zone.rect.x, zone.rect.right)
        found[touched] = EDGE
        found[rows, columns] = number
    return found


def whole_cells(panel_px: tuple[int, int], rect: Rect) -> tuple[slice, slice]:
    """Return the rows and columns of the cells that lie wholly in a rectangle."""
    across, down = cell_edges(panel_px)
    return _whole(down, rect.y, rect.bottom), _whole(across, rect.x, rect.right)


def rect_of(panel_px: tuple[int, int], rows: slice, columns: slice) -> Rect:
    """Return the rectangle in panel pixels that some rows and columns of cells cover."""
    across, down = cell_edges(panel_px)
    left, right = round(float(across[columns.start])), round(float(across[columns.stop]))
    top, bottom = round(float(down[rows.start])), round(float(down[rows.stop]))
    return Rect(left, top, right - left, bottom - top)


def _whole(edges: NDArray[np.float64], low: float, high: float) -> slice:
    first = int(np.searchsorted(edges, low - 1e-6))
    last = int(np.searchsorted(edges, high + 1e-6, side="right")) - 1
    return slice(min(first, edges.size - 1), max(first, last))


def _touched(edges: NDArray[np.float64], low: float, high: float) -> slice:
    first = int(np.searchsorted(edges, low + 1e-6, side="right")) - 1
    last = int(np.searchsorted(edges, high - 1e-6))
    return slice(max(first, 0), max(first, last))


def mask_of(shape: tuple[int, int], rows: slice, columns: slice) -> Mask:
    """Return a rectangle of cells as a mask."""
    mask = np.zeros(shape, dtype=bool)
    mask[rows, columns] = True
    return mask


def shrunk(mask: Mask, cells: int) -> Mask:
    """Return a mask less so many cells at its border, or fewer where nothing would be left; a panel's edge is none."""
    from scipy.ndimage import binary_erosion

    for less in range(cells, 0, -1):
        left = np.asarray(binary_erosion(mask, np.ones((3, 3), bool), iterations=less, border_value=1))
        if left.any():
            return left
    return mask


def grown(mask: Mask, cells: int) -> Mask:
    """Return a mask with all cells at most so many cells away, in rows, columns or both."""
    from scipy.ndimage import maximum_filter

    return np.asarray(maximum_filter(mask, size=2 * cells + 1, mode="constant", cval=0)) if cells > 0 else mask
