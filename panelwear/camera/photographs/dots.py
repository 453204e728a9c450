"""Dots on black are found in a photograph, and their middles to a fraction of a pixel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]
COARSE_PX = 1600
"""The search is made in a picture of about so many pixels across."""
THRESHOLD = 0.3
"""Share of a usual dot's height above its surround from which a pixel belongs to a dot: the lens may take more than
half of the light from one in the corner."""
ROUNDS = 4
FEWEST = 20


@dataclass(frozen=True, slots=True, eq=False)
class Spots:
    """Bright spots on black."""

    middles: Real
    """``(n, 2)`` as (x, y) in pixels of the picture, the top left pixel's outer corner at 0, 0."""
    light: Real
    """Of each, summed."""


def found_spots(picture: NDArray[np.float32]) -> Spots:
    """Find small bright spots of about one size; what is larger (a lamp, a reflection) is left out.

    Args:
        picture: numbers linear in light.

    Returns:
        The spots, none where fewer than ``FEWEST`` are there.
    """
    from scipy import ndimage

    factor = max(1, round(picture.shape[1] / COARSE_PX))
    coarse = _binned(picture, factor)
    across = coarse.shape[1]
    lifted = ndimage.white_tophat(coarse, size=max(9, across // 60))
    height = _height(lifted)
    noise = 1.4826 * float(np.median(np.abs(lifted - np.median(lifted))))
    labelled, count = ndimage.label(lifted > np.median(lifted) + max(THRESHOLD * height, 6 * noise))
    if count < FEWEST or count > 20_000:
        return Spots(np.empty((0, 2)), np.empty(0))
    numbers = np.arange(1, count + 1)
    areas = np.bincount(labelled.ravel())[1:]
    usual = float(np.median(areas[areas > 0.1 * np.sort(areas)[-FEWEST]]))
    boxes = ndimage.find_objects(labelled)
    sides = np.array([(rows.stop - rows.start, columns.stop - columns.start) for rows, columns in boxes])
    is_dot = (areas > 0.2 * usual) & (areas < 9 * usual) & (sides.max(axis=1) < 2.2 * sides.min(axis=1) + 2)
    if not is_dot.any():
        return Spots(np.empty((0, 2)), np.empty(0))
    places = np.array(ndimage.center_of_mass(lifted, labelled, numbers[is_dot]))[:, ::-1] + 0.5
    radii = np.sqrt(areas[is_dot] / np.pi) * factor
    return _refined(picture, places * factor, radii)


def _height(lifted: NDArray[np.float32]) -> float:
    """Return how bright a dot is: of 6 x 4 parts of the picture most hold dots, and a lamp stands in few."""
    parts = [part for band in np.array_split(lifted, 4) for part in np.array_split(band, 6, axis=1)]
    return float(np.percentile([np.percentile(part, 99.5) for part in parts], 70) - np.median(lifted))


def _binned(picture: NDArray[np.float32], factor: int) -> NDArray[np.float32]:
    rows, columns = (side // factor * factor for side in picture.shape)
    parts = picture[:rows, :columns].reshape(rows // factor, factor, columns // factor, factor)
    return np.asarray(parts.mean(axis=(1, 3), dtype=np.float32))


def _refined(picture: NDArray[np.float32], places: Real, radii: Real) -> Spots:
    """Take each spot's centre of gravity in a box of 7 sigma or more about itself, a ring's median taken off.

    A box that cuts a spot off draws its centre of gravity towards the box's own middle, far beyond the noise; so the
    box is wide (a disc's sigma is half its radius), and is put about the spot again until it stays.
    """
    height, width = picture.shape
    middles, light = [], []
    for place, radius in zip(places, radii, strict=True):
        half = int(np.ceil(1.9 * radius + 3))
        at = place
        for _ in range(ROUNDS):
            column, row = int(at[0]), int(at[1])
            ring = half + 2
            if not (ring <= column < width - ring and ring <= row < height - ring):
                break
            box = picture[row - ring : row + ring + 1, column - ring : column + ring + 1].astype(np.float64)
            inner = box[2:-2, 2:-2]
            edge = np.concatenate([box[:2].ravel(), box[-2:].ravel(), box[2:-2, :2].ravel(), box[2:-2, -2:].ravel()])
            weights = inner - np.median(edge)
            total = float(weights.sum())
            if total <= 0:
                break
            steps = np.arange(-half, half + 1)
            new = np.array(
                [column + 0.5 + weights.sum(axis=0) @ steps / total, row + 0.5 + weights.sum(axis=1) @ steps / total]
            )
            moved, at = abs(new - at).max(), new
            if moved < 0.5 and (int(at[0]), int(at[1])) == (column, row):
                middles.append(at)
                light.append(total)
                break
        else:
            middles.append(at)
            light.append(total)
    return Spots(np.array(middles).reshape(-1, 2), np.array(light))
