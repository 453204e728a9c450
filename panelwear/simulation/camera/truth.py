"""What is true of a simulated shoot: light of each cell, where the panel lay in the frame."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.field_map import cell_edges
from panelwear.camera.shots import Shot
from panelwear.simulation.camera.geometry import View
from panelwear.simulation.camera.model import CameraModel
from panelwear.simulation.camera.seen import responses, white_response
from panelwear.simulation.camera.surface import PanelSurface
from patterns.camera import dot_centres
from patterns.frame import Picture
from sequences.model import Zone

Cells = NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class TrueField:
    """The light of one field, in the cells of ``panelwear.camera.field_map.cell_edges``."""

    shot: Shot
    luminance_cd_m2: Cells
    """``(rows, columns)``."""
    filters: Cells
    """Signal behind the camera's red, green and blue filter, ``(3, rows, columns)``: electrons at f/1 in 1 s on the
    axis. What a camera with these filters can see of the field at best."""


def true_field(shot: Shot, picture: Picture, surface: PanelSurface, camera: CameraModel) -> TrueField:
    """Work out the light of a field's cells, black included, without lens, sensor and noise."""
    light = surface.light(picture)
    black = float(surface.state.panel.emission.black[1])
    x, y = cell_edges(surface.size_px)
    by_channel = np.stack([cell_means(one, x, y) for one in light])
    signal = np.tensordot(responses(camera, surface), by_channel, axes=1)
    signal += (black * white_response(camera, surface))[:, None, None]
    return TrueField(shot, np.asarray(by_channel.sum(axis=0) + black, np.float32), signal.astype(np.float32))


def relative(cells: NDArray[np.floating[Any]], reference: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Return light relative to the median of the reference's cells, as a map of a field has it."""
    return np.asarray(cells / np.median(cells[..., reference], axis=-1)[..., None, None], dtype=np.float64)


def zone_cells(zones: Sequence[Zone], name: str, panel_px: tuple[int, int]) -> NDArray[np.bool_]:
    """Return the cells that lie wholly in a zone and in none that lies over it, ``(rows, columns)``."""
    x, y = cell_edges(panel_px)
    found = np.zeros((len(y) - 1, len(x) - 1), dtype=bool)
    for zone in zones:
        rect = zone.rect
        if zone.name == name:
            whole_x = (x[:-1] >= rect.x) & (x[1:] <= rect.right)
            found |= ((y[:-1] >= rect.y) & (y[1:] <= rect.bottom))[:, None] & whole_x
        else:
            touched = (x[1:] > rect.x) & (x[:-1] < rect.right)
            found &= ~(((y[1:] > rect.y) & (y[:-1] < rect.bottom))[:, None] & touched)
    return found


def true_view(view: View) -> dict[str, Any]:
    """Return plain data for a JSON file: how panel pixels lie in the frame, and where the dots' middles are."""
    return {
        "panel_px": list(view.panel_px),
        "frame_px": list(view.frame_px),
        "homography": view.homography.tolist(),
        "k1": view.k1,
        "k2": view.k2,
        "centre": view.middle.tolist(),
        "eye_mm": view.eye_mm.round(2).tolist(),
        "dots_px": view.to_frame(dot_centres(*view.panel_px)).round(4).tolist(),
    }


def told(shot: Shot) -> dict[str, Any]:
    """Return a shot as plain data."""
    return asdict(shot)


def cell_means(values: NDArray[np.float32], x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the means of cells whose borders may lie within pixels: those count by their share."""
    by_row = _between(values.astype(np.float64, copy=False), x, 1)
    return _between(by_row, y, 0) / np.outer(np.diff(y), np.diff(x))


def _between(values: NDArray[np.float64], edges: NDArray[np.float64], axis: int) -> NDArray[np.float64]:
    """Return integrals between edges of what is constant over each pixel."""
    total = np.concatenate([np.zeros_like(values.take([0], axis)), np.cumsum(values, axis)], axis)
    low = np.minimum(np.floor(edges).astype(np.intp), values.shape[axis] - 1)
    share = edges - low
    if axis == 0:
        share = share[:, None]
    at_edges = total.take(low, axis) + values.take(low, axis) * share
    return np.asarray(np.diff(at_edges, axis=axis))
