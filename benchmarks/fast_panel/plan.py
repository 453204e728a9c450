"""What the numeric fast path reads: patches with their pixels, worked out once for thousands of panels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.panel.resolve import Resolver
from panelwear.simulation.probe import DEFAULT_PROBE
from patterns.frame import Frame
from patterns.raster import raster
from patterns.registry import build
from sequences.model import PutProbe, Read, Reads, Step

Real = NDArray[np.float64]

_MARGIN_MM = 3.0
"""Pixels kept round an aperture, for placements that land beside the place."""


@dataclass(frozen=True, slots=True, eq=False)
class FastPatch:
    """One patch of a plan: what is shown, where the probe sits, how often it is read."""

    key: str
    purpose: str
    place: str
    at_px: tuple[float, float]
    frame: Frame
    codes: tuple[float, float, float]
    reads: int = 5
    rule: Reads | None = None
    """Reads in two stages, as many as the scatter calls for; ``None``: exactly ``reads``."""
    settle_s: float = 1.0
    integration_s: float = 1.0
    visit: int = 1
    pair: str = ""
    step: int = 1
    target_cd_m2: float = float("nan")
    level_basis: str = "code"


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """Patches in the order they are read, with their pixels."""

    patches: tuple[FastPatch, ...]
    width_px: int
    height_px: int
    counts: Real
    """Share of the screen's pixels at each code, by patch and channel: ``(n, 3, 256)``."""
    crops: NDArray[np.uint8]
    """Pixels round the place of each patch, ``(n, c, c, 3)``."""
    corners: NDArray[np.intp]
    """Row and column of each crop's first pixel, ``(n, 2)``."""
    flat: NDArray[np.bool_]
    """Whether a crop is all one colour, so that its place needs no look at single pixels; ``(n,)``."""
    geometry: tuple[str, ...]
    """Geometry digest of each patch."""


def patches_of(
    steps: Sequence[Step], width_px: int, height_px: int, resolver: Resolver, integration_s: float = 1.0
) -> tuple[FastPatch, ...]:
    """Take the readings out of a sequence's steps.

    Args:
        steps: as ``sequences`` expands them.
        width_px: of the screen.
        height_px: of the screen.
        resolver: turns levels into codes, as in an inspection.
        integration_s: for patches that do not say.
    """
    found: list[FastPatch] = []
    visit = 0
    for step in steps:
        if isinstance(step, PutProbe):
            visit += 1
        elif isinstance(step, Read):
            found.append(_patch(step, max(visit, 1), (width_px, height_px), resolver, integration_s))
    return tuple(found)


def _patch(step: Read, visit: int, size: tuple[int, int], resolver: Resolver, integration_s: float) -> FastPatch:
    patch = step.patch
    resolved = resolver.resolve(patch)
    frame = build(
        patch.pattern,
        size[0],
        size[1],
        codes=resolved.codes,
        background=patch.background,
        **dict(patch.parameters),
    )
    return FastPatch(
        key=patch.key,
        purpose=patch.purpose,
        place=patch.place.name,
        at_px=patch.place.at_px,
        frame=frame,
        codes=resolved.codes,
        reads=patch.reads.n,
        rule=None if patch.reads.until is None and patch.reads.until_cd_m2 is None else patch.reads,
        settle_s=patch.settle_s,
        integration_s=patch.integration_s or integration_s,
        visit=visit,
        pair=step.pair,
        step=step.number,
        target_cd_m2=float("nan") if resolved.target_cd_m2 is None else resolved.target_cd_m2,
        level_basis=resolved.level_basis,
    )


def plan_of(
    patches: Sequence[FastPatch], active_area_mm: tuple[float, float], aperture_mm: float = DEFAULT_PROBE.aperture_mm
) -> Plan:
    """Draw every patch once and keep what readings need; the same plan serves any panel of that size."""
    first = patches[0].frame
    width, height = first.width, first.height
    side = int(np.ceil((aperture_mm + 2 * _MARGIN_MM) * max(width / active_area_mm[0], height / active_area_mm[1]))) + 2
    counts, crops, corners = [], [], []
    for patch in patches:
        picture = raster(patch.frame)
        pixels = picture.reshape(-1, 3)
        counts.append([np.bincount(pixels[:, c], minlength=256) / len(pixels) for c in range(3)])
        row, column = (round(patch.at_px[1] - side / 2), round(patch.at_px[0] - side / 2))
        rows = np.clip(np.arange(row, row + side), 0, height - 1)
        columns = np.clip(np.arange(column, column + side), 0, width - 1)
        crops.append(picture[rows[:, None], columns])
        corners.append((row, column))
    stacked = np.array(crops)
    return Plan(
        tuple(patches),
        width,
        height,
        np.array(counts),
        stacked,
        np.array(corners, dtype=np.intp),
        (stacked == stacked[:, :1, :1]).all(axis=(1, 2, 3)),
        tuple(patch.frame.geometry_sha256() for patch in patches),
    )
