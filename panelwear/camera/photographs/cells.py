"""Which cell of the panel each camera pixel looks at; light is averaged over cells, never warped."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.field_map import cell_edges
from panelwear.camera.photographs.photograph import Colour, Photograph, Plane
from panelwear.camera.photographs.view import PanelView

Real = NDArray[np.float64]
_ROWS_AT_ONCE = 256
BESIDE = 0.012
"""Share of the panel's longer side that is kept around it: where its edges are looked for."""


@dataclass(frozen=True, slots=True, eq=False)
class PlaneCells:
    """One plane of the sensor: the part of it that sees the panel, and the cell of each of its pixels.

    A pixel belongs whole to the cell its middle looks at, and to no other: noise of neighbouring cells stays
    independent. A border that is off by half a pixel moves a cell's own middle by far less than its width.
    """

    colour: Colour
    rows: slice
    columns: slice
    index: NDArray[np.intp]
    """Number of the cell of each pixel, row by row of the part; one past the last cell where it sees none."""

    def shape(self) -> tuple[int, int]:
        """Return rows and columns of the part."""
        return self.rows.stop - self.rows.start, self.columns.stop - self.columns.start


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """The cells of a panel as one camera in one pose sees them."""

    shape: tuple[int, int]
    """Rows and columns of cells."""
    planes: tuple[PlaneCells, ...]

    @property
    def count(self) -> int:
        """How many cells there are."""
        return self.shape[0] * self.shape[1]

    def mean(self, plane: int, values: NDArray[np.float32], counts: NDArray[np.intp]) -> Real:
        """Return the mean of a plane's part in each cell, ``(cells,)``; NaN where no pixel looks."""
        total = np.bincount(self.planes[plane].index, weights=values.ravel(), minlength=self.count + 1)[:-1]
        return np.asarray(np.divide(total, counts, out=np.full(self.count, np.nan), where=counts > 0))

    def counts(self, plane: int) -> NDArray[np.intp]:
        """Return how many pixels of a plane look at each cell, ``(cells,)``."""
        return np.bincount(self.planes[plane].index, minlength=self.count + 1)[:-1]

    def without(self, bad: tuple[NDArray[np.bool_], ...]) -> Cells:
        """Leave pixels out, given for each plane's part."""
        planes = []
        for plane, mask in zip(self.planes, bad, strict=True):
            index = plane.index.copy()
            index[mask.ravel()] = self.count
            planes.append(replace(plane, index=index))
        return replace(self, planes=tuple(planes))


def cells_seen(view: PanelView, photo: Photograph) -> Cells:
    """Work out which cell each pixel of a photograph looks at."""
    across, down = cell_edges(view.panel_px)
    shape = (down.size - 1, across.size - 1)
    return Cells(shape, tuple(_plane_cells(view, plane, shape) for plane in photo.planes))


def _plane_cells(view: PanelView, plane: Plane, shape: tuple[int, int]) -> PlaneCells:
    width, height = view.panel_px
    far = BESIDE * max(width, height)
    x, y = np.linspace(-far, width + far), np.linspace(-far, height + far)
    sides = [np.stack([x, np.full_like(x, end)], axis=1) for end in (y[0], y[-1])]
    border = np.concatenate([*sides, *(np.stack([np.full_like(y, end), y], axis=1) for end in (x[0], x[-1]))])
    seen = view.to_camera(border)
    first = np.floor((seen.min(axis=0) - (plane.left, plane.top)) / plane.step).astype(int) - 1
    last = np.ceil((seen.max(axis=0) - (plane.left, plane.top)) / plane.step).astype(int) + 1
    rows = slice(max(0, int(first[1])), min(plane.stored.shape[0], int(last[1])))
    columns = slice(max(0, int(first[0])), min(plane.stored.shape[1], int(last[0])))
    index = np.empty((rows.stop - rows.start, columns.stop - columns.start), dtype=np.intp)
    x = plane.left + plane.step * np.arange(columns.start, columns.stop) + 0.5
    for start in range(rows.start, rows.stop, _ROWS_AT_ONCE):
        stop = min(rows.stop, start + _ROWS_AT_ONCE)
        y = plane.top + plane.step * np.arange(start, stop) + 0.5
        index[start - rows.start : stop - rows.start] = _numbers(view, x, y, shape)
    return PlaneCells(plane.colour, rows, columns, index.ravel())


def _numbers(view: PanelView, x: Real, y: Real, shape: tuple[int, int]) -> NDArray[np.intp]:
    rows, columns = shape
    width, height = view.panel_px
    places = view.to_panel(np.stack(np.broadcast_arrays(x[None, :], y[:, None]), axis=-1))
    column = np.floor(places[..., 0] * (columns / width))
    row = np.floor(places[..., 1] * (rows / height))
    inside = (column >= 0) & (column < columns) & (row >= 0) & (row < rows)
    return np.where(inside, row * columns + column, rows * columns).astype(np.intp)
