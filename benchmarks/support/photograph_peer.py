"""The camera's peer, as a person writes it in an afternoon: raw files averaged, four corners, a division."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import rawpy
from numpy.typing import NDArray
from skimage.transform import ProjectiveTransform, warp

COLUMNS, ROWS = 480, 270
Picture = NDArray[np.float64]


def green(path: Path) -> Picture:
    """Return the mean of the two greens, black taken off, at half the size."""
    with rawpy.imread(str(path)) as raw:
        numbers = raw.raw_image_visible.astype(float)
        colours = raw.raw_colors_visible
        numbers -= np.array(raw.black_level_per_channel)[colours]
    places = [(top, left) for top in (0, 1) for left in (0, 1) if colours[top, left] in (1, 3)]
    return sum(numbers[top::2, left::2] for top, left in places) / len(places)


def averaged(paths: Sequence[Path]) -> Picture:
    """Return the mean of some frames."""
    return sum(green(path) for path in paths) / len(paths)


def corners(picture: Picture) -> NDArray[np.float64]:
    """Return the corners of the lit panel, from the top left, clockwise: the outermost pixels in each direction."""
    rows, columns = np.nonzero(picture > 0.4 * np.percentile(picture, 95))
    towards = [columns + rows, rows - columns, -columns - rows, columns - rows]
    found = [int(np.argmin(each)) for each in towards]
    at = [(columns[n], rows[n]) for n in found]
    return np.array(at, dtype=float) + np.array([(0, 0), (1, 0), (1, 1), (0, 1)])


def flattened(picture: Picture, at: NDArray[np.float64]) -> Picture:
    """Return the panel as a picture of its own."""
    panel = np.array([(0, 0), (COLUMNS, 0), (COLUMNS, ROWS), (0, ROWS)], dtype=float)
    return warp(picture, ProjectiveTransform.from_estimate(panel, at), output_shape=(ROWS, COLUMNS), order=1)


def peer_map(field: Sequence[Path], surface: Sequence[Path]) -> Picture:
    """Return a field's map: divided by the even surface where there is one."""
    lit = averaged(field)
    at = corners(lit)
    found = flattened(lit, at)
    if surface:
        found = found / flattened(averaged(surface), at)
    return found / np.median(found)
