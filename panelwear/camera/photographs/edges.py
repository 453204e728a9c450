"""Whether the camera stayed where it was: the lit panel's own edges, photograph by photograph."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.cells import Cells
from panelwear.camera.photographs.photograph import Photograph
from panelwear.camera.photographs.view import PanelView

Real = NDArray[np.float64]
REACH = 0.008
"""Share of the panel's longer side that is looked at on both sides of an edge."""
ALONG = 400
"""Places along each edge that are averaged in pieces."""
PIECES = 8
CLEAREST = 3.0
"""The lit side has to be so many times as bright as the other, else there is no edge to be seen."""


@dataclass(frozen=True, slots=True)
class Edges:
    """How far the panel's edges lie from where the dots put them, and how wide they are, in panel pixels."""

    moved_px: float
    """Root mean square over the four corners, after the best shift, turn and scale."""
    blur_px: float
    """From 10 to 90 % of the light."""


def edges_of(
    view: PanelView, photo: Photograph, cells: Cells, pixels: tuple[NDArray[np.float32], ...]
) -> Edges | None:  # fmt: skip
    """Measure the panel's edges in the mean frame of a field.

    Returns:
        ``None`` where too few edges can be seen.
    """
    which = int(np.argmax([one.mean() for one in pixels]))
    plane, part = photo.planes[which], cells.planes[which]
    width, height = (float(side) for side in view.panel_px)
    # Start, direction along the edge, and outward normal of each side.
    sides = [((0, 0), (width, 0), (0, -1)), ((0, height), (width, 0), (0, 1)),
             ((0, 0), (0, height), (-1, 0)), ((width, 0), (0, height), (1, 0))]  # fmt: skip
    rows, offsets, widths = [], [], []
    reach = REACH * max(width, height)
    away = np.linspace(-reach, reach, 129)
    for start, along, normal in sides:
        shares = (np.arange(ALONG) + 0.5) / ALONG * 0.9 + 0.05
        places = np.array(start) + shares[:, None] * np.array(along)
        at = view.to_camera(places[:, None] + away[None, :, None] * np.array(normal))
        at = (at - (plane.left + 0.5, plane.top + 0.5)) / plane.step - (part.columns.start, part.rows.start)
        profile = _sampled(pixels[which], at)
        for piece, middle in zip(np.array_split(profile, PIECES), np.array_split(places, PIECES), strict=True):
            found = _crossing(away, np.nanmean(piece, axis=0) if np.isfinite(piece).any() else piece[0])
            if found is not None:
                x, y = middle.mean(axis=0) - (width / 2, height / 2)
                # Shift in x and y, turn, scale: how each moves this place along the normal.
                rows.append([normal[0], normal[1], normal[1] * x - normal[0] * y, normal[0] * x + normal[1] * y])
                offsets.append(found[0])
                widths.append(found[1])
    if len(rows) < 2 * PIECES:
        return None
    design = np.array(rows) / (1, 1, width, width)
    found = np.linalg.lstsq(design, np.array(offsets), rcond=None)[0] / (1, 1, width, width)
    corners = np.array([(x, y) for x in (-width / 2, width / 2) for y in (-height / 2, height / 2)])
    shift = found[:2] + found[2] * corners[:, ::-1] * (-1, 1) + found[3] * corners
    return Edges(float(np.sqrt((shift**2).sum(axis=1).mean())), float(np.median(widths)))


def _sampled(values: NDArray[np.float32], at: Real) -> Real:
    from scipy import ndimage

    return np.asarray(ndimage.map_coordinates(
        values, [at[..., 1], at[..., 0]], output=np.float64, order=1, mode="constant", cval=np.nan
    ))  # fmt: skip


def _crossing(away: Real, profile: Real) -> tuple[float, float] | None:
    """Return where light falls to half across an edge, and from 90 to 10 % of it; ``None``: no clear edge.

    What the camera saw outside the part is not known, and counts as dark.
    """
    known = np.isfinite(profile)
    inside = profile[known & (away < -away[-1] / 2)]
    outside = profile[known & (away > away[-1] / 2)]
    if not len(inside):
        return None
    lit, dark = float(np.median(inside)), float(np.median(outside)) if len(outside) else 0.0
    if lit <= 0 or lit < CLEAREST * dark:
        return None
    shares = (np.where(known, profile, dark) - dark) / (lit - dark)
    places = []
    for level in (0.9, 0.5, 0.1):
        last = int(np.flatnonzero(shares >= level)[-1]) if (shares >= level).any() else -1
        if last < 0 or last + 1 >= len(away):
            return None
        step = shares[last] - shares[last + 1]
        places.append(away[last] + (away[1] - away[0]) * (shares[last] - level) / step)
    return float(places[1]), float(places[2] - places[0])
