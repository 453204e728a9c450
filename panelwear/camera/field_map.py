"""A map of one field: light of each cell of the panel relative to the reference, with its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.framing import Framing, framing_of
from panelwear.camera.photographs.view import PanelView
from panelwear.camera.shots import Shot

Shading = Literal["even-surface", "poses", "same-set-up"]
"""What took the lens's own fall-off out; ``same-set-up``: nothing, only a ratio to a map of the same set-up counts."""
LEAST_COLUMNS, LEAST_ROWS = 480, 270
"""No map has fewer cells, but where the panel itself has fewer pixels."""

FloatMap = NDArray[np.float32]


def cell_edges(panel_px: tuple[int, int]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the borders of the cells in panel pixels, columns (``n + 1`` x values) and rows (``m + 1`` y values).

    Cells are as nearly square as whole numbers allow, 480 across or more; at 3840 x 2160 they are 8 x 8 pixels.
    """
    width, height = panel_px
    per_cell = min(width / LEAST_COLUMNS, height / LEAST_ROWS)
    columns, rows = (max(1, round(side / max(per_cell, 1.0))) for side in (width, height))
    return np.linspace(0, width, columns + 1), np.linspace(0, height, rows + 1)


@dataclass(frozen=True, slots=True, eq=False)
class FieldMap:
    """One field as a camera saw it, in cells of the panel.

    ``light``, ``u_light`` and ``usable`` have the shape ``(rows, columns)`` of ``cell_edges``.
    """

    shot: Shot
    panel_px: tuple[int, int]
    light: FloatMap
    """Light relative to the median of the reference's cells (1.0 = as the reference); NaN where not usable."""
    u_light: FloatMap
    """Standard uncertainty of ``light`` from noise that differs from cell to cell (shot noise, PRNU)."""
    usable: NDArray[np.bool_]
    """False where the camera saw too little, saturated, or a cell lies too near the panel's edge."""
    correlation_cells: float
    """Standard deviation of the Gaussian that correlates neighbouring cells' noise, in cells; 0: not correlated."""
    u_slow: float
    """Standard uncertainty of slow gradients over the whole panel's width no correction took out."""
    shading: Shading
    set_up: str
    """What has to be equal where ``same-set-up`` maps are divided: camera, lens, focal length, aperture, as text."""
    for_showing: bool = False
    """True where no verdict may rest on it (a JPEG)."""
    simulated: bool = False
    cautions: tuple[str, ...] = ()
    sources: tuple[tuple[str, str], ...] = ()
    """The photographs it was made of: name and SHA-256 of each."""
    u_pixels: FloatMap | None = None
    """The part of ``u_light`` that comes again where the same camera pixels look (PRNU); ``None``: there is none."""
    view: PanelView | None = None
    """Where the panel lay in the frame: which pixels looked at which cell."""
    focal_35_mm: float | None = None
    """Focal length for the 36 mm x 24 mm frame, where the files tell it."""

    @property
    def framing(self) -> Framing | None:
        """Where the panel lay in the frame; ``None`` for maps that older versions made."""
        if self.view is None:
            return None
        return framing_of(self.view.frame_px, self.view.corners(), self.focal_35_mm)
