"""Moire: the grid of the panel's pixels against the sensor's, looked for where its frequency has to be."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.cells import Cells
from panelwear.camera.photographs.photograph import Photograph
from panelwear.camera.photographs.view import PanelView

Real = NDArray[np.float64]
TILE = 128
"""Pixels of a plane on each side of a piece whose spectrum is taken."""
ACROSS, DOWN = 6, 4
"""How many pieces are taken over the panel."""
HARMONICS = tuple((h, v) for h in range(4) for v in range(-3, 4) if (h, v) > (0, 0) and abs(h) + abs(v) <= 3)
BESIDE = 3.0
"""How many steps of a piece's spectrum away the level is taken that is no moire: edges of zones, grain, noise."""
HARMLESS = 0.02
"""What averaging over a cell leaves of a wave that is not looked at."""


@dataclass(frozen=True, slots=True)
class Wave:
    """The strongest moire found."""

    amplitude: float = 0.0
    """Of the light averaged over a cell, relative."""
    period_cells: float = 0.0


def strongest_moire(
    view: PanelView, photo: Photograph, cells: Cells, pixels: tuple[NDArray[np.float32], ...]
) -> Wave:  # fmt: skip
    """Look for moire in the mean frame of a field.

    Where a pixel looks at place X of the panel (in panel pixels), harmonic (h, v) of the panel's grid is a wave
    cos 2 pi (h, v) X, whichever frequency the sensor's own grid makes of it. So the spectrum of a piece is taken at
    just this place, as perspective and distortion bend it, and at four places beside, which have all but the moire.
    What averaging over a cell leaves of the wave is counted: one far shorter than a cell does no harm.

    Args:
        view: where the panel lies.
        photo: any frame of the shot, for the layout of its planes.
        cells: where it looks.
        pixels: the mean frame's planes.
    """
    which = int(np.argmax([one.mean() for one in pixels]))
    plane, part, values = photo.planes[which], cells.planes[which], pixels[which]
    size = np.array(view.panel_px, dtype=np.float64)
    powers: list[Real] = []
    periods: list[Real] = []
    for place in ((x, y) for x in (np.arange(ACROSS) + 0.5) / ACROSS for y in (np.arange(DOWN) + 0.5) / DOWN):
        at = size * np.array(place)
        middle = (view.to_camera(at) - (plane.left, plane.top)) / plane.step
        column, row = (int(side) - TILE // 2 for side in middle - (part.columns.start, part.rows.start))
        piece = values[max(row, 0) : row + TILE, max(column, 0) : column + TILE]
        if piece.shape != (TILE, TILE) or piece.mean() <= 0:
            continue
        x = plane.left + plane.step * np.arange(column + part.columns.start, column + part.columns.start + TILE) + 0.5
        y = plane.top + plane.step * np.arange(row + part.rows.start, row + part.rows.start + TILE) + 0.5
        looks_at = view.to_panel(np.stack(np.broadcast_arrays(x[None, :], y[:, None]), axis=-1))
        jacobian = view.jacobian(at) / plane.step
        found, long = _powers(_flattened(piece), looks_at, jacobian, size / np.array(cells.shape[::-1]))
        powers.append(found)
        periods.append(long)
    if not powers:
        return Wave()
    # The median: an edge of a zone crosses some pieces, moire all of them.
    usual = np.median(powers, axis=0)
    top = int(np.argmax(usual))
    return Wave(float(np.sqrt(max(0.0, usual[top]))), float(np.median(periods, axis=0)[top]))


def _flattened(piece: NDArray[np.float32]) -> Real:
    """Return a piece relative to its own slow changes, faded out towards its borders (Hann)."""
    along = np.polynomial.legendre.legvander(np.linspace(-1, 1, TILE), 2)
    slow = np.linalg.qr(along)[0]
    flat = piece.astype(np.float64)
    mean = flat.mean()
    flat -= slow @ (slow.T @ flat @ slow) @ slow.T
    window = np.hanning(TILE + 1)[:-1]
    both = np.outer(window, window)
    return np.asarray(flat * both / (both.sum() * mean))


def _powers(flat: Real, looks_at: Real, jacobian: Real, per_cell: Real) -> tuple[Real, Real]:
    """Return the square of each harmonic's amplitude over a cell, less the level beside, and its period in cells."""
    rows = np.arange(TILE)
    powers, periods = [], []
    for order in HARMONICS:
        alias = np.array(order) @ np.linalg.inv(jacobian)
        in_cells = (alias - np.rint(alias)) @ (jacobian * per_cell)
        left = float(np.prod(np.sinc(in_cells)))
        periods.append(1 / max(float(np.linalg.norm(in_cells)), 1e-9))
        if abs(left) < HARMLESS:
            powers.append(0.0)
            continue
        turns = looks_at[..., 0] * order[0] + looks_at[..., 1] * order[1]
        turned = flat * np.exp(-2j * np.pi * (turns - np.rint(turns)))
        beside = []
        for right, down in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
            tone_x, tone_y = (np.exp(-2j * np.pi * sign * BESIDE * rows / TILE) for sign in (right, down))
            beside.append(abs(tone_y @ turned @ tone_x) ** 2)
        powers.append(4 * (abs(turned.sum()) ** 2 - float(np.mean(beside))) * left**2)
    return np.array(powers), np.array(periods)
