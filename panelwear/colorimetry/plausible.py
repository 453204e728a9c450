"""Whether three numbers can be the light of a display at all; what cannot is a fault of the line or of the meter."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

Real = NDArray[np.float64]

IMPOSSIBLE = "impossible"
"""The flag of a reading that cannot be light."""
ABSURD_CD_M2 = 1e5
"""No display shows more; a reading beyond it is a fault of the line, not light."""
DARK_CD_M2 = 0.05
"""A reading of the dark may scatter this far below zero, or ten times the noise of black where that is more."""
SHARE_BELOW = 0.03
"""X and Z of a saturated colour may lie this share of the largest of the three below zero: filters are not perfect."""
OUTSIDE_XY = 0.05
"""How far outside the spectral locus x, y may lie before no filter explains it (absolute)."""
LOCUS = np.array([
    (0.1741, 0.0050), (0.1566, 0.0177), (0.1241, 0.0578), (0.0913, 0.1327), (0.0454, 0.2950), (0.0082, 0.5384),
    (0.0139, 0.7502), (0.0743, 0.8338), (0.2296, 0.7543), (0.3731, 0.6245), (0.5125, 0.4866), (0.6270, 0.3725),
    (0.6915, 0.3083), (0.7347, 0.2653),
])  # fmt: skip
"""Spectral locus x, y at 380, 450, 470, 480, 490, 500, 510, 520, 540, 560, 580, 600, 620, 700 nm (CIE 1931 observer,
CIE 15), once round; its last edge is the purple line."""


_AT_ONCE = 50_000
"""Readings that are judged at once, so that a large table needs no more memory than this many."""


def possible(XYZ: ArrayLike, dark_noise_cd_m2: float = 0.0) -> NDArray[np.bool_]:
    """Tell which of ``(n, 3)`` X, Y, Z in cd/m² can be light; ``nan`` in X or Z is a meter that gives none."""
    given = np.asarray(XYZ, np.float64).reshape(-1, 3)
    parts = [given[at : at + _AT_ONCE] for at in range(0, max(len(given), 1), _AT_ONCE)]
    return np.concatenate([_possible(part, dark_noise_cd_m2) for part in parts])


def _possible(given: Real, dark_noise_cd_m2: float) -> NDArray[np.bool_]:
    lowest = -max(10 * dark_noise_cd_m2, DARK_CD_M2)
    with np.errstate(invalid="ignore"):
        largest = np.nanmax(np.where(np.isfinite(given), given, 0.0), axis=1)
        below = np.column_stack([lowest - SHARE_BELOW * largest, np.full(len(given), lowest),
                                 lowest - SHARE_BELOW * largest])  # fmt: skip
        bad = np.logical_or(given >= ABSURD_CD_M2, given < below).any(axis=1)
        bad = np.logical_or(bad, np.logical_not(np.isfinite(given[:, 1])))
        fine = np.logical_not(bad)
    fine[fine] = _inside(given[fine], -lowest)
    return np.asarray(fine)


def _inside(XYZ: Real, dark_cd_m2: float) -> NDArray[np.bool_]:
    """Tell which x, y lie within the spectral locus or no farther outside than filters and noise explain."""
    total = XYZ.sum(axis=1)
    judged = np.logical_and(np.isfinite(total), total > dark_cd_m2)
    inside = np.ones(len(XYZ), dtype=bool)
    xy = XYZ[judged, :2] / total[judged, None]
    edges = np.roll(LOCUS, -1, axis=0) - LOCUS
    # The locus runs clockwise, so its outside is to the left of every edge.
    outward = np.column_stack([-edges[:, 1], edges[:, 0]]) / np.linalg.norm(edges, axis=1)[:, None]
    away = np.einsum("nec,ec->ne", xy[:, None, :] - LOCUS[None], outward).max(axis=1)
    inside[judged] = away <= OUTSIDE_XY + dark_cd_m2 / total[judged]
    return inside


def why_impossible(X: float | None, Y: float | None, Z: float | None, dark_noise_cd_m2: float = 0.0) -> str:
    """Say why X, Y, Z in cd/m² cannot be light; empty text where they can, or where there is no Y."""
    if Y is None:
        return ""
    given = {"X": X, "Y": Y, "Z": Z}
    for name, value in given.items():
        if value is not None and not math.isfinite(value):
            return f"{name} = {value:g} is no light"
    XYZ = np.array([[math.nan if v is None else v for v in given.values()]])
    if possible(XYZ, dark_noise_cd_m2)[0]:
        return ""
    for name, value in given.items():
        if value is not None and value >= ABSURD_CD_M2:
            return f"{name} = {value:g} cd/m² is more than any display shows"
    total = (X or 0.0) + Y + (Z or 0.0)
    below = [f"{name} = {value:g}" for name, value in given.items() if value is not None and value < 0]
    if below:
        return f"{', '.join(below)} cd/m²: light cannot be negative, and noise does not explain so much"
    return f"x = {(X or 0.0) / total:.4f}, y = {Y / total:.4f} is outside every colour there is"
