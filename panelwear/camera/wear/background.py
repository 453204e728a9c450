"""What is slow in a map taken out, so that noise and small regions are left.

A polynomial of the fourth degree over the panel, fitted to medians of blocks of cells: it follows what lens, room
light and viewing angle do, and leaves alone what only part of the panel has. The fit begins with the differences of
blocks a little apart, which an area that changed touches at its border only, however large it is; then with the value
most blocks have (half-sample mode, Robertson and Cryer 1974); then it takes in the blocks near it. Iteratively
reweighted least squares with Huber's and Tukey's weights; sources from memory. How much blocks scatter is taken from
neighbours. Each zone that is watched has an offset of its own in the fit.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.wear.cells import EDGE, NOBODY, Owners, grown
from panelwear.camera.wear.noise import MAD_TO_SD, MapNoise, noise_of
from panelwear.camera.wear.pairing import ChangeMap
from sequences.model import Zone

Real = NDArray[np.float64]
Mask = NDArray[np.bool_]

DEGREE = 4
BLOCK, LAG = 9, 4
"""Side of a block in cells; how many blocks those lie apart whose difference is taken."""
LEAST_BLOCKS = 60
"""With fewer no polynomial of 15 terms is fitted, and the median alone is taken out."""
TUKEY, HUBER = 3.0, 1.345
"""Tukey's weights are cut off lower than the usual 4.685: areas that changed little must not pull."""
TOLERANCES = (1.5, 1.25, 1.0, 1.0, 1.0, 1.0)
"""Of the fit to levels, in standard deviations of a block."""
BLIND = (
    "A change that goes smoothly over the whole panel cannot be told from a slow gradient and is not found; of an area "
    "of a fifth of the panel or more that changed by 1 % or so, the part along its edge may be all that is found; "
    "where half of the panel or more changed, the other part is taken for changed. Name such an area as a zone"
)


@dataclass(frozen=True, slots=True, eq=False)
class Flattened:
    """A map with everything slow taken out."""

    map: ChangeMap
    residual: Real
    """0 where a cell does not count."""
    usable: Mask
    noise: MapNoise


def watched_of(zones: Sequence[Zone]) -> list[int]:
    """Return the numbers of the zones that are compared with a reference; what is only a reference is searched."""
    return [number for number, zone in enumerate(zones) if zone.reference]


def flattened(one: ChangeMap, owner: Owners, watched: Sequence[int], left_out: Mask | None = None) -> Flattened:
    """Take out of a map what is slow in it.

    Args:
        one: the map.
        owner: of each cell.
        watched: numbers of the zones that are known to change.
        left_out: cells that must not shape what is taken out, as they changed.
    """
    values = np.where(one.usable, one.change, 0.0).astype(np.float64)
    known = np.isin(owner, watched)
    # Only borders of watched zones matter: a reference worn evenly has none. The lens blurs them over the cells beside.
    border = np.zeros(owner.shape, bool)
    if watched:
        border = (grown(owner == EDGE, 1) & grown(known, 3)) | (grown(known, 1) & grown(~known, 1))
    usable = one.usable & (one.u > 0) & ~border
    free = usable if left_out is None else usable & ~left_out
    domain = np.where(known, owner, NOBODY)
    residual = values - _slow(values, free, domain)
    for number in watched:
        mine = usable & (owner == number)
        if mine.any():
            quiet = mine & free if (mine & free).any() else mine
            residual[mine] -= np.median(residual[quiet])
    residual[~usable] = 0.0
    if one.pixels is not None and not one.pixels.are_seen(residual, free):
        one = one.with_other_pixels()
    noise = noise_of(residual, one.u.astype(np.float64), free, one.correlation_cells)
    return Flattened(one, residual, free, noise)


def _slow(values: Real, free: Mask, domain: Owners) -> Real:
    """Return the slow part of a map, told from the cells that count."""
    if not free.any():
        return np.zeros(values.shape)
    level, home = _blocks(values, free, domain)
    enough = home != _MIXED
    if enough.sum() < LEAST_BLOCKS:
        return np.full(values.shape, np.median(values[free]))
    scatter = _scatter(level, home)
    terms = _terms(level.shape, values.shape, BLOCK)
    begin = _from_differences(level, home, terms, scatter)
    zones = [number for number in np.unique(home[enough]).tolist() if number != NOBODY]
    offsets = np.stack([home[enough] == number for number in zones], axis=1) if zones else np.zeros((enough.sum(), 0))
    b = level[enough]
    left = b - (begin @ terms.reshape(len(terms), -1))[enough.ravel()]
    outside = left[home[enough] == NOBODY]
    left = left - half_sample_mode(outside if outside.size else left)
    for column in offsets.T:
        left = left - np.where(column, np.median(left[column > 0]), 0.0)
    A = np.concatenate([terms.reshape(len(terms), -1)[:, enough.ravel()].T, offsets], axis=1)
    found: NDArray[Any] = np.zeros(A.shape[1])
    for tolerance in TOLERANCES:
        root = np.clip(1 - (left / (TUKEY * tolerance * scatter)) ** 2, 0, None)
        found = np.linalg.lstsq(A * root[:, None], b * root, rcond=None)[0]
        left = b - A @ found
    whole = _terms(values.shape, values.shape, 1)
    return np.asarray(np.tensordot(found[: len(whole)], whole, 1))


def _from_differences(level: Real, home: Owners, terms: Real, scatter: float) -> Real:
    """Return the polynomial, its level left open, from differences of blocks of one owner ``LAG`` apart."""
    rows: list[Real] = []
    apart: list[Real] = []
    for axis in (0, 1):
        near, far = (range(s, level.shape[axis] - LAG + s) for s in (0, LAG))
        both = (np.take(home, near, axis) == np.take(home, far, axis)) & (np.take(home, near, axis) != _MIXED)
        rows.append((np.take(terms, far, axis + 1) - np.take(terms, near, axis + 1))[:, both].T)
        apart.append((np.take(level, far, axis) - np.take(level, near, axis))[both])
    A, b = np.concatenate(rows)[:, 1:], np.concatenate(apart)
    if b.size < LEAST_BLOCKS:
        return np.zeros(len(terms))
    found: NDArray[Any] = np.zeros(A.shape[1])
    for step in range(12):
        t = np.abs(b - A @ found) / (math.sqrt(2) * scatter)
        weight = HUBER / np.maximum(t, HUBER) if step < 6 else np.clip(1 - (t / TUKEY) ** 2, 0, None) ** 2
        root = np.sqrt(weight)
        found = np.linalg.lstsq(A * root[:, None], b * root, rcond=None)[0]
    return np.concatenate([[0.0], found])


_MIXED = -9
"""Owner of a block whose cells belong to more than one, or of which too few count."""


def _blocks(values: Real, free: Mask, domain: Owners) -> tuple[Real, Owners]:
    """Return the median of each block and whose it is; ``_MIXED`` where fewer than half of its cells count."""
    rows, columns = (side // BLOCK for side in values.shape)

    def cut(one: NDArray[Any]) -> NDArray[Any]:
        trimmed = one[: rows * BLOCK, : columns * BLOCK].reshape(rows, BLOCK, columns, BLOCK)
        return trimmed.swapaxes(1, 2).reshape(rows, columns, -1)

    cells, counted, owner = cut(np.where(free, values, np.nan)), cut(free), cut(domain)
    home = np.where(owner.min(axis=2) == owner.max(axis=2), owner[:, :, 0], _MIXED)
    home[counted.sum(axis=2) < BLOCK * BLOCK / 2] = _MIXED
    level = np.zeros((rows, columns))
    level[home != _MIXED] = np.nanmedian(cells[home != _MIXED], axis=1)
    return level, home.astype(np.int16)


def _scatter(level: Real, home: Owners) -> float:
    """Return how much blocks scatter, from neighbours of one owner."""
    apart = []
    for axis in (0, 1):
        first, second = (np.take(home, range(s, home.shape[axis] - 1 + s), axis) for s in (0, 1))
        apart.append(np.diff(level, axis=axis)[(first == second) & (first != _MIXED)])
    every = np.concatenate(apart)
    return max(MAD_TO_SD * float(np.median(np.abs(every))) / math.sqrt(2), 1e-9) if every.size else 1e-9


def half_sample_mode(values: Real) -> float:
    """Return where values lie densest: the densest half of them, again and again (Robertson and Cryer 1974)."""
    left = np.sort(values)
    while left.size > 3:
        half = (left.size + 1) // 2
        first = int(np.argmin(left[half - 1 :] - left[: left.size - half + 1]))
        left = left[first : first + half]
    return float(left.mean())


def _terms(shape: tuple[int, int], cells: tuple[int, int], block: int) -> Real:
    """Return products of Legendre polynomials at the middles of blocks, ``(terms, rows, columns)``, the level first."""
    from numpy.polynomial.legendre import legvander

    y, x = (((np.arange(n) + 0.5) * block / whole) * 2 - 1 for n, whole in zip(shape, cells, strict=True))
    across, down = legvander(x, DEGREE), legvander(y, DEGREE)
    pairs = [(i, j) for i in range(DEGREE + 1) for j in range(DEGREE + 1 - i)]
    return np.stack([np.outer(down[:, j], across[:, i]) for i, j in pairs])
