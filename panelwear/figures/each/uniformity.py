"""Uniformity over the grid, per level: extremes, deviations, true spread, colour, and left against right."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from panelwear.colorimetry import uniformity
from panelwear.colorimetry.basic import uv_prime_of
from panelwear.figures.evidence import Evidence, Told
from panelwear.figures.means import Mean
from panelwear.figures.pick import level_words
from panelwear.uncertainty.estimate import Estimate
from sequences.keys import MIDDLE, thousandths

ORDER = 90

Real = NDArray[np.float64]


def figures(evidence: Evidence) -> list[Estimate]:
    """Return ``uniformity/<hue>/<level>.<part>`` of every level of the grid.

    Parts: ``min_over_max``, ``from_centre`` and ``from_median`` in %, ``spread`` (standard deviation of the panel
    itself in %, measurement taken out), ``duv_prime`` (largest between two points), ``left_right`` (ln ratio, %).
    """
    return [one for grid in _grids(evidence) for one in (*_of(evidence, *grid), *_left_right(evidence, *grid))]


def left_right(evidence: Evidence) -> list[Estimate]:
    """Return ``uniformity/<hue>/<level>.left_right`` of every level of the grid, as ``figures`` does."""
    return [one for grid in _grids(evidence) for one in _left_right(evidence, *grid)]


def _grids(evidence: Evidence) -> Iterator[tuple[list[Mean], str, str]]:
    """Yield the points of each level that can be told, the stem of its figures' names, and the level in words."""
    grids: dict[tuple[str, str, str], list[Mean]] = {}
    for mean in evidence.select(purpose="grid"):
        grids.setdefault((mean.hue, mean.level, mean.geometry), []).append(mean)
    for (hue, level, _), points in grids.items():
        if len(points) >= 3 and not any(evidence.is_dark(m) for m in points):
            yield points, f"uniformity/{hue}/{level}", f"{hue} at {level_words(level)}"


def _of(evidence: Evidence, points: list[Mean], name: str, said: str) -> list[Estimate]:
    centre = _centre(points)
    told = [
        Told(f"{name}.min_over_max", "%", f"{said}, darkest point over brightest"),
        Told(f"{name}.from_median", "%", f"{said}, largest deviation from the median"),
    ]
    if centre is not None:
        told.append(Told(f"{name}.from_centre", "%", f"{said}, largest deviation from the centre"))

    def extremes(XYZ: Real) -> Real:
        L = XYZ[:, :, 1]
        columns = [uniformity.min_over_max(L), uniformity.deviation_from_median(L)]
        if centre is not None:
            columns.append(uniformity.deviation_from(L, L[:, centre]))
        return 100 * np.stack(columns, axis=1)

    found = [*evidence.estimates(told, points, extremes), _spread(evidence, points, name, said)]
    if all(m.has_colour for m in points):
        colour = Told(f"{name}.duv_prime", "1", f"{said}, largest Δu'v' between two points")
        found.append(evidence.estimate(colour, points, lambda XYZ: uniformity.colour_spread(uv_prime_of(XYZ))))
    return found


def _spread(evidence: Evidence, points: list[Mean], name: str, said: str) -> Estimate:
    """Return the panel's own standard deviation: that of the points with the measurement's variance taken out."""
    k = len(points)
    average = Told(f"{name}.mean", "1", "")

    def off_mean(XYZ: Real) -> Real:
        logs = np.log(XYZ[:, :, 1])
        return np.asarray(logs - logs.mean(axis=1, keepdims=True))

    # What the points owe to the measurement alone: everything common to all of them has dropped out.
    parts = evidence.estimates([average] * k, points, off_mean)
    noise = sum(e.u**2 for e in parts) / (k - 1)
    logs = np.log([m.Y for m in points])
    own = float(uniformity.variance_without_noise(logs, noise))
    told = Told(f"{name}.spread", "%", f"{said}, standard deviation over the points, measurement taken out")
    found = evidence.estimate(told, points, lambda XYZ: 100 * np.log(XYZ[:, :, 1]).std(axis=1, ddof=1))
    if own <= 0:
        bound = 100 * float(np.sqrt(noise))
        return replace(found, value=bound, limit="<", note="no larger than the measurement's own scatter")
    return replace(found, value=100 * float(np.sqrt(own)))


def _left_right(evidence: Evidence, points: list[Mean], name: str, said: str) -> list[Estimate]:
    seats = {at: m for m in points if (at := thousandths(m.place))}
    mirrored = [(m, seats.get((1000 - x, y))) for (x, y), m in seats.items() if x < 500]
    pairs = [(left, right) for left, right in mirrored if right is not None]
    if not pairs:
        return []
    k = len(pairs)
    both = [left for left, _ in pairs] + [right for _, right in pairs]
    told = Told(f"{name}.left_right", "%", f"{said}, left/right difference, zones included")
    return [
        evidence.estimate(told, both, lambda XYZ: 100 * uniformity.left_right(XYZ[:, :k, 1], XYZ[:, k:, 1]))
    ]  # fmt: skip


def _centre(points: list[Mean]) -> int | None:
    seats = [thousandths(m.place) for m in points]
    return seats.index(MIDDLE) if MIDDLE in seats else None
