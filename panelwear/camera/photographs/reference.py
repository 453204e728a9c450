"""Which cells are the reference that all others are held against."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.field_map import cell_edges
from panelwear.folder.panel import Panel

FEWEST = 100
"""Cells; a smaller reference is no better known than what is held against it."""


def reference_cells(panel: Panel) -> NDArray[np.bool_]:
    """Return the cells of the zone that others name as their reference, ``(rows, columns)``.

    Where there is none, or too little of it is left under zones that lie over it: all cells that lie in no zone, and
    where there are too few of these, all.
    """
    across, down = cell_edges((panel.width_px, panel.height_px))
    x, y = (across[1:] + across[:-1]) / 2, (down[1:] + down[:-1]) / 2
    names = [zone.reference for zone in panel.zones if zone.reference]
    wanted = max(set(names), key=names.count) if names else ""
    top = np.full((len(y), len(x)), -1)
    for number, zone in enumerate(panel.zones):  # a later zone lies over an earlier one
        inside = ((y >= zone.rect.y) & (y < zone.rect.bottom))[:, None] & ((x >= zone.rect.x) & (x < zone.rect.right))
        top[inside] = number
    own = next((number for number, zone in enumerate(panel.zones) if zone.name == wanted), -1)
    for found in (top == own, top == -1):
        if found.sum() >= FEWEST:
            return np.asarray(found)
    return np.ones_like(top, dtype=bool)
