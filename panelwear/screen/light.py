"""From drive levels to the light the flash rules speak of: relative luminance and saturated red, on sample points."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from patterns.frame import Frame
from patterns.raster import raster

Codes8 = NDArray[np.uint8]
"""``(n, 3)`` drive levels, one row a sample point."""
Real = NDArray[np.float32]

GAMMA = 2.2
"""Response assumed where none has been measured."""
LINEAR: Real = ((np.arange(256) / 255.0) ** GAMMA).astype(np.float32)
LUMINANCE_SHARES = np.array([0.2126, 0.7152, 0.0722], dtype=np.float32)
"""Shares of the BT.709 primaries in white's luminance (WCAG 2 relative luminance uses the same)."""
SATURATED_RED = 0.8
"""R / (R + G + B) in linear light from which a colour is a saturated red (WCAG 2.3.1)."""


@dataclass(frozen=True, slots=True, eq=False)
class Light:
    """One state of the screen on n sample points."""

    luminance: Real
    """Relative luminance, 0..1 of peak white."""
    red: Real
    """max(R - G - B, 0) x 320 in linear light: the red signal of WCAG 2.3.1."""
    saturated: NDArray[np.bool_]
    """Whether the point is a saturated red."""


def light_of(codes: Codes8) -> Light:
    """Turn ``(n, 3)`` codes into light."""
    linear = LINEAR[codes]
    total = linear.sum(axis=1)
    return Light(
        luminance=linear @ LUMINANCE_SHARES,
        red=np.maximum(2 * linear[:, 0] - total, 0) * np.float32(320),
        saturated=(linear[:, 0] >= np.float32(SATURATED_RED) * total) & (total > 0),
    )


@dataclass(frozen=True, slots=True, eq=False)
class SamplePoints:
    """Where the governor looks: one pixel at a random spot of each cell of a coarse grid, the same in every run.

    Single pixels and not means: a checkerboard that swaps its phase keeps every mean and still flashes.
    Random spots: no pattern of even pitch can hide between them.
    """

    x: NDArray[np.intp]
    y: NDArray[np.intp]
    grid: tuple[int, int]
    """Rows and columns of cells; the points run along the rows."""
    solid_angle_sr: NDArray[np.float64]
    """What each point stands for, seen from the viewing distance."""

    def codes_of(self, frame: Frame) -> Codes8:
        """Codes a frame will have at the points; a spatial mix counts as its nearer code."""
        if frame.pixels is not None:
            return raster(frame)[self.y, self.x]
        rows, columns = self.grid
        codes = np.empty((rows, columns, 3), dtype=np.uint8)
        codes[:] = [round(code) for code in frame.background]
        x, y = self.x.reshape(self.grid), self.y.reshape(self.grid)
        for fill in frame.fills:
            rect = fill.rect
            # Only the cells the rectangle reaches into: some patterns have thousands of small ones.
            across = slice(max(0, rect.x * columns // frame.width), max(0, -(-rect.right * columns // frame.width)))
            down = slice(max(0, rect.y * rows // frame.height), max(0, -(-rect.bottom * rows // frame.height)))
            near_x, near_y = x[down, across], y[down, across]
            inside = (near_x >= rect.x) & (near_x < rect.right) & (near_y >= rect.y) & (near_y < rect.bottom)
            codes[down, across][inside] = [round(code) for code in fill.codes]
        return codes.reshape(-1, 3)


def sample_points(
    width: int, height: int, active_area_mm: tuple[float, float], distance_mm: float, cells: int = 18432
) -> SamplePoints:
    """Lay about ``cells`` sample points over a screen of ``width`` x ``height`` pixels."""
    columns = max(1, min(width, round((cells * width / height) ** 0.5)))
    rows = max(1, min(height, round(cells / columns)))
    generator = np.random.default_rng(20260203)
    column, row = np.meshgrid(np.arange(columns), np.arange(rows))
    at_x = (column + generator.random(column.shape)) * width / columns
    at_y = (row + generator.random(row.shape)) * height / rows
    x_mm = ((column + 0.5) / columns - 0.5) * active_area_mm[0]
    y_mm = ((row + 0.5) / rows - 0.5) * active_area_mm[1]
    cell_mm2 = active_area_mm[0] * active_area_mm[1] / (columns * rows)
    angle = cell_mm2 * distance_mm / (distance_mm**2 + x_mm**2 + y_mm**2) ** 1.5
    return SamplePoints(
        x=np.minimum(at_x.astype(np.intp), width - 1).ravel(),
        y=np.minimum(at_y.astype(np.intp), height - 1).ravel(),
        grid=(rows, columns),
        solid_angle_sr=angle.ravel(),
    )
