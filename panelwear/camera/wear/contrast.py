"""Contrast of some cells of a map to others, slow gradients taken out as far as the others tell them.

The surround is fitted with a level and five slow shapes (two gradients, three bowls), each of which is expected to be
no larger than the map's ``u_slow``: least squares with those expectations as a prior (ridge regression; as "mixed
model" or "kriging with a trend" in statistics, Hoerl and Kennard 1970, from memory). The contrast is what the cells
have beyond that fit. Its uncertainty is exact for the weights this gives: noise of all cells with its correlation, and
the part of each slow shape that the fit leaves, which grows with the distance.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.wear.noise import MapNoise, line_kernel, u_of_sum
from panelwear.camera.wear.pairing import ChangeMap
from panelwear.uncertainty.estimate import Component, Estimate, combine

Real = NDArray[np.float64]
Mask = NDArray[np.bool_]

LEAST_CELLS = 4
"""Fewer cells tell no contrast."""
LEAST_SLOW = 1e-9
STEADY_CELLS = 15


def contrast(
    one: ChangeMap, inside: Mask, around: Mask, told: tuple[str, str], noise: MapNoise | None = None
) -> Estimate:
    """Return the contrast of some cells to others in %.

    Args:
        one: the map.
        inside: the cells it is about.
        around: the cells they are compared with.
        told: key and caption.
        noise: of the cells; by default as the map states it.

    Returns:
        An estimate with the parts ``noise`` and ``slow gradients``; its value is ``nan`` where too few count.
    """
    name, caption = told
    inside, around = inside & one.usable, around & one.usable & ~inside
    if inside.sum() < 1 or around.sum() < LEAST_CELLS:
        return Estimate(name, math.nan, "%", math.nan, note="too few cells of the map are usable", caption=caption)
    how = noise or MapNoise(1.0, one.correlation_cells)
    light = 1 + np.where(one.usable, one.change, 0.0).astype(np.float64)
    u = how.scale * one.u.astype(np.float64)
    shapes = slow_shapes(one.change.shape)
    weights = _weights(shapes, (inside, around), _steady(u, one.usable), how, one.u_slow)
    level = float((weights * light).sum())
    own = inside / inside.sum()
    value = float((own * light).sum()) / level
    # The quotient moves by its parts' relative changes.
    both = own - value * weights
    left = [float((both * shape).sum()) for shape in shapes]
    parts = (
        Component("noise", 100 * _noise(one, both, how) / level),
        Component("slow gradients", 100 * one.u_slow * math.hypot(*left) / level),
    )
    return combine(name, 100 * (value - 1), "%", parts, caption=caption)


def _noise(one: ChangeMap, weights: Real, how: MapNoise) -> float:
    """Return the standard uncertainty of a weighted sum of cells; what the same camera pixels put into both cancels."""
    u = one.u.astype(np.float64)
    if one.pixels is None:
        return how.scale * u_of_sum(weights, u, how.correlation_cells)
    own = np.sqrt(np.maximum(u**2 - one.pixels.cell() ** 2, 0.0))
    return how.scale * math.hypot(u_of_sum(weights, own, how.correlation_cells), one.pixels.of_sum(weights))


def _steady(u: Real, usable: Mask) -> Real:
    """Return how uncertain cells are about a place, for weighing them.

    A cell's own figure follows its own noise - a brighter cell states another one - and weights that follow noise pull
    the mean: by twice the square of a cell's noise.
    """
    from scipy.ndimage import uniform_filter

    total, count = (uniform_filter(np.where(usable, part, 0.0), STEADY_CELLS, mode="constant") for part in (u, 1.0))
    return np.where(usable, total / np.maximum(count, 1e-9), 0.0)


def slow_shapes(shape: tuple[int, int]) -> tuple[Real, ...]:
    """Return two gradients and three bowls over the panel, each going through 1 over its width."""
    y, x = np.mgrid[: shape[0], : shape[1]] / shape[1]
    x, y = x - x.mean(), y - y.mean()
    return (x, y, 4 * x * x, 4 * x * y, 4 * y * y)


def _weights(shapes: tuple[Real, ...], cells: tuple[Mask, Mask], u: Real, how: MapNoise, u_slow: float) -> Real:
    """Return the weights with which the surround tells the level the cells inside would have; they sum to 1."""
    inside, around = cells
    line = line_kernel(how.correlation_cells)
    # So many cells scatter together as one.
    together = 1 / float((line**2).sum()) ** 2
    variance = np.maximum(u[around] ** 2, 1e-14) * together
    design = np.stack([np.ones(int(around.sum())), *(s[around] for s in shapes)], axis=1)
    here = np.array([1.0, *(float(s[inside].mean()) for s in shapes)])
    prior = np.array([0.0, *(1 / max(u_slow, LEAST_SLOW) ** 2,) * len(shapes)])
    normal = design.T @ (design / variance[:, None]) + np.diag(prior)
    found = (design / variance[:, None]) @ np.linalg.solve(normal, here)
    weights = np.zeros(around.shape)
    weights[around] = found
    return weights
