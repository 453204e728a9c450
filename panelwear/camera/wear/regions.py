"""Regions that changed and that nobody named: found over all maps of two checkpoints, 5 % of them false at most.

The clusters of all maps go into one family (Benjamini and Hochberg 1995). What is found is taken out of noise and
background, and the maps are searched again, as a large region hides smaller ones.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.wear.background import Flattened, flattened, watched_of
from panelwear.camera.wear.cells import Owners, grown, mask_of, owners, rect_of, shrunk
from panelwear.camera.wear.contrast import contrast
from panelwear.camera.wear.outline import Outline, outline_of
from panelwear.camera.wear.pairing import ChangeMap
from panelwear.camera.wear.peaks import Cluster, clusters_of
from panelwear.camera.wear.surround import ring
from panelwear.uncertainty.estimate import Estimate
from patterns.frame import Rect
from sequences.model import Zone

Mask = NDArray[np.bool_]

RATE = 0.05
"""False discovery rate."""
MOST_REGIONS = 24
LEAST_CELLS = 6
PASSES = 6
WEAKER = 0.5
"""In one pass only clusters at least this share as clear as the clearest count: weaker ones may be its shadow."""
CLEAR = 2.0
"""A region has to differ from what lies round it by this many standard uncertainties."""
OVERLAP = 0.5
"""A cluster of which this share lies on a region found already is a part of it."""


@dataclass(frozen=True, slots=True)
class Region:
    """A rectangle that changed against its surround."""

    rect: Rect
    changes: tuple[tuple[str, Estimate], ...]
    """By field, its change against its surround in %; the field it was found in first."""
    q: float
    """The false discovery rate at which it would just be found."""
    fill: float
    """Share of the rectangle that stands out by more than half of its change."""
    inside: str
    """The zone it lies in; empty for none."""


@dataclass(frozen=True, slots=True, eq=False)
class _Found:
    outline: Outline
    map: int
    q: float

    def mask(self, shape: tuple[int, int]) -> Mask:
        return mask_of(shape, self.outline.rows, self.outline.columns)


@dataclass(frozen=True, slots=True, eq=False)
class Search:
    """What searching the maps of two checkpoints gave."""

    regions: tuple[Region, ...]
    flat: tuple[Flattened, ...]
    """Each map with everything slow taken out, and how it scatters."""


def find_regions(maps: Sequence[ChangeMap], zones: Sequence[Zone], rate: float = RATE) -> Search:
    """Search the maps of two checkpoints, all of one panel.

    Args:
        maps: those that bear a verdict.
        zones: of the panel. Those with a reference are known: they are searched for what lies inside them only.
        rate: the false discovery rate.
    """
    if not maps:
        return Search((), ())
    shape, watched = maps[0].change.shape, watched_of(zones)
    owner = owners(maps[0].panel_px, zones)
    found: list[_Found] = []
    flat: list[Flattened] = []
    for _ in range(PASSES):
        left_out = _union(found, shape) if found else None
        flat = [flattened(one, owner, watched, left_out) for one in maps]
        new = _new(flat, found, shape, rate)
        found += new
        if not new or len(found) >= MOST_REGIONS:
            break
    found.sort(key=lambda one: (one.q, -one.outline.count))
    known = np.isin(owner, watched)
    made = [_region(one, found, flat, zones, (owner, known)) for one in found[:MOST_REGIONS]]
    return Search(tuple(one for one in made if _stands_out(one.changes[0][1])), tuple(flat))


def _stands_out(change: Estimate) -> bool:
    """Tell whether a region differs from what lies round it too, and not only from the panel's slow shape."""
    return math.isfinite(change.value) and abs(change.value) > CLEAR * change.u


def adjusted(ps: Sequence[float]) -> list[float]:
    """Return for each p value the false discovery rate at which it is just found (Benjamini and Hochberg 1995)."""
    from scipy.stats import false_discovery_control

    return [float(q) for q in false_discovery_control(ps)] if ps else []


def _union(found: Sequence[_Found], shape: tuple[int, int]) -> Mask:
    every = np.zeros(shape, dtype=bool)
    for one in found:
        every |= one.mask(shape)
    return grown(every, 2)


def _new(flat: Sequence[Flattened], found: Sequence[_Found], shape: tuple[int, int], rate: float) -> list[_Found]:
    """Return what stands out and was not found before, clearest first."""
    seen: list[tuple[int, Cluster]] = [(i, c) for i, one in enumerate(flat) for c in clusters_of(one)]
    rated = zip(adjusted([c.p for _, c in seen]), seen, strict=True)
    clear = sorted(((q, i, c) for q, (i, c) in rated if q <= rate), key=lambda one: -one[2].peak)
    known = _union(found, shape)
    new: list[_Found] = []
    least = 0.0
    for q, i, cluster in clear:
        cells = cluster.cells
        if cluster.peak < least or (known & cells).sum() >= OVERLAP * cells.sum():
            continue
        least = max(least, WEAKER * cluster.peak)
        outline = outline_of(flat[i], cluster)
        mask = mask_of(shape, outline.rows, outline.columns)
        is_part = (known & mask).sum() >= OVERLAP * outline.count
        # What cannot be outlined is not looked at again in this pass, but is no region either.
        known |= grown(cells | mask, 2)
        if outline.count >= LEAST_CELLS and not is_part:
            new.append(_Found(outline, i, q))
    return new


def _region(
    one: _Found, found: Sequence[_Found], flat: Sequence[Flattened], zones: Sequence[Zone], where: tuple[Owners, Mask]
) -> Region:
    owner, known = where
    mask = one.mask(owner.shape)
    there = owner[mask]
    home = int(np.bincount(there[there >= 0], minlength=1).argmax()) if (there >= 0).sum() > mask.sum() / 2 else -1
    others = _union([other for other in found if other is not one], owner.shape)
    is_watched = home >= 0 and bool(zones[home].reference)
    free = (owner == home) if is_watched else ~grown(known, 2)
    around = ring(mask) & ~others & free
    inside = shrunk(mask, 1)
    order = [one.map, *(i for i in range(len(flat)) if i != one.map)]
    changes = []
    for i in order:
        field = flat[i].map.field
        changes.append((field, contrast(flat[i].map, inside, around, ("region", field), flat[i].noise)))
    return Region(
        rect=rect_of(flat[0].map.panel_px, one.outline.rows, one.outline.columns),
        changes=tuple(changes),
        q=one.q,
        fill=one.outline.fill,
        inside=zones[home].name if home >= 0 else "",
    )
