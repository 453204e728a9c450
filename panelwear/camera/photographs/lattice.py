"""Which dot of the grid each spot is: neighbours are walked, then the two large dots tell where the grid begins."""

from __future__ import annotations

from collections import deque

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.dots import Spots
from patterns.camera import DOT_COLUMNS, DOT_ROWS

Real = NDArray[np.float64]
NEAR = 0.25
"""Share of the distance of two dots within which a neighbour is looked for: distortion and perspective bend the grid by
far less from one dot to the next."""
LARGE = 2.5
"""A large dot has four times the light of others; what has so many times the light of its neighbours is one."""


def assigned(spots: Spots) -> NDArray[np.intp]:
    """Return the number in the grid of each spot, row by row from the top left; -1: no dot of the grid.

    All are -1 where the large dots are not both seen.
    """
    none = np.full(len(spots.middles), -1, dtype=np.intp)
    if len(spots.middles) < 4:
        return none
    places = _walked(spots.middles)
    large = _large_pair(spots, places)
    if large is None:
        return none
    first, second = large
    for here, there in ((first, second), (second, first)):
        along = places[there] - places[here]
        for across in (np.array([-along[1], along[0]]), np.array([along[1], -along[0]])):
            own = np.stack([(places - places[here]) @ along, (places - places[here]) @ across], axis=1)
            seen = places[:, 0] != _NOWHERE
            inside = seen & (own >= 0).all(axis=1) & (own[:, 0] < DOT_COLUMNS) & (own[:, 1] < DOT_ROWS)
            if inside.sum() >= 0.97 * seen.sum() and inside.sum() > 3:
                return np.where(inside, own[:, 1] * DOT_COLUMNS + own[:, 0], -1)
    return none


_NOWHERE = 10_000


def _walked(middles: Real) -> NDArray[np.intp]:
    """Number the spots by columns and rows of their own, from the most central one to its neighbours and on."""
    from scipy.spatial import cKDTree

    tree = cKDTree(middles)
    start = int(tree.query(np.median(middles, axis=0))[1])
    nearest = np.asarray(tree.query(middles[start], k=min(9, len(middles)))[1])[1:]
    near = middles[nearest] - middles[start]
    # Burnt-out dots can be found twice at one place.
    near = near[np.linalg.norm(near, axis=1) > 0]
    if not len(near):
        return np.full((len(middles), 2), _NOWHERE, dtype=np.intp)
    along = near[0]
    cosines = np.abs(near @ along) / np.linalg.norm(near, axis=1) / np.linalg.norm(along)
    aside = near[cosines < 0.4]
    places = np.full((len(middles), 2), _NOWHERE, dtype=np.intp)
    if not len(aside):
        return places
    places[start] = 0
    steps = {start: np.stack([along, aside[0]])}
    waiting = deque([start])
    while waiting:
        here = waiting.popleft()
        for axis, sign in ((0, 1), (0, -1), (1, 1), (1, -1)):
            wanted = middles[here] + sign * steps[here][axis]
            off, there = (found.item() for found in map(np.asarray, tree.query(wanted)))
            if off > NEAR * np.linalg.norm(steps[here][axis]) or places[there, 0] != _NOWHERE:
                continue
            places[there] = places[here]
            places[there, axis] += sign
            own = steps[here].copy()
            own[axis] = (own[axis] + sign * (middles[there] - middles[here])) / 2
            steps[there] = own
            waiting.append(there)
    return places


def _large_pair(spots: Spots, places: NDArray[np.intp]) -> tuple[int, int] | None:
    """Return the two spots with far more light than those around them, where they stand side by side."""
    seen = np.flatnonzero(places[:, 0] != _NOWHERE)
    if len(seen) < 6:
        return None
    usual = float(np.median(spots.light[seen]))
    order = seen[np.argsort(-spots.light[seen])]
    first, second = int(order[0]), int(order[1])
    beside = np.abs(places[first] - places[second]).sum() == 1
    # Next to each other the lens takes the same from both, so a third of their size shows where it took most.
    others = [n for n in seen if n not in (first, second) and np.abs(places[n] - places[first]).max() <= 2]
    around = float(np.median(spots.light[others])) if others else usual
    return (first, second) if beside and spots.light[second] > LARGE * around else None
