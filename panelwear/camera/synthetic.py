"""Maps made up with everything known: zones that changed by so much, noise that correlates, slow gradients.

For tests, benchmarks and whoever wants to know what a comparison of photographs can find; nothing in them was seen.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.field_map import FieldMap, Shading, cell_edges
from panelwear.camera.shots import Shot
from patterns.frame import Rect

GREY = Shot("grey-20cd", "field", (96.0, 96.0, 96.0), 20.0)
SET_UP = "invented camera, 50 mm, f/8"

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class MadeNoise:
    """What disturbs a made-up map."""

    u_cell: float = 0.002
    """Standard deviation of one cell's noise, relative to the reference."""
    correlation_cells: float = 1.0
    """Standard deviation of the Gaussian that correlates neighbouring cells, in cells."""
    slow: float = 0.0
    """Standard deviation of a gradient, and of a bowl, over the panel's width."""
    told_u: float = 1.0
    """The map states this times the noise it has."""
    told_correlation: bool = True
    """Whether the map states how far its noise correlates, or 0."""
    hot_share: float = 0.0
    """Share of cells that are off by ten times the noise."""
    uneven: float = 1.0
    """The noise grows to this many times from the left edge to the right one; the map states it."""
    row_noise: float = 0.0
    """Standard deviation of a whole row's own offset; the map does not state it."""


def synthetic_map(
    changes: tuple[tuple[Rect, float], ...] = (),
    noise: MadeNoise | None = None,
    *,
    seed: int = 0,
    shot: Shot = GREY,
    panel_px: tuple[int, int] = (3840, 2160),
    shading: Shading = "even-surface",
    texture_seed: int | None = None,
) -> FieldMap:
    """Make a map.

    Args:
        changes: rectangles in panel pixels with their light relative to the rest less one; a later one lies over an
            earlier one. A cell that is covered in part changes in part.
        noise: what disturbs it.
        seed: of the noise: the same seed gives the same map.
        shot: the field.
        panel_px: size of the panel.
        shading: what took the lens's fall-off out.
        texture_seed: of the panel's own unevenness, alike in all maps of one seed; ``None``: it has none.
    """
    how = noise or MadeNoise()
    rng = np.random.default_rng(seed)
    across, down = cell_edges(panel_px)
    shape = (down.size - 1, across.size - 1)
    light = np.ones(shape)
    for rect, change in changes:
        share = np.outer(_covered(down, rect.y, rect.bottom), _covered(across, rect.x, rect.right))
        light = light * (1 - share) + (1 + change) * share
    if texture_seed is not None:
        light *= 1 + 0.005 * correlated_noise(shape, 2.0, np.random.default_rng(texture_seed))
    spread = how.u_cell * np.linspace(1.0, how.uneven, shape[1])[None, :] * np.ones(shape)
    light = light * (1 + slow_field(shape, how.slow, rng))
    light += spread * correlated_noise(shape, how.correlation_cells, rng)
    light += how.row_noise * rng.standard_normal((shape[0], 1))
    light += (rng.random(shape) < how.hot_share) * 10 * how.u_cell * rng.choice([-1.0, 1.0], shape)
    return FieldMap(
        shot=shot,
        panel_px=panel_px,
        light=(light / np.median(light)).astype(np.float32),
        u_light=(how.told_u * spread).astype(np.float32),
        usable=np.ones(shape, dtype=bool),
        correlation_cells=how.correlation_cells if how.told_correlation else 0.0,
        u_slow=how.slow,
        shading=shading,
        set_up=SET_UP,
        simulated=True,
    )


def correlated_noise(shape: tuple[int, int], correlation_cells: float, rng: np.random.Generator) -> Real:
    """Return noise of standard deviation 1 that a Gaussian of so many cells correlates; 0: not at all."""
    from scipy.ndimage import gaussian_filter

    if correlation_cells <= 0:
        return rng.standard_normal(shape)
    edge = int(4 * correlation_cells) + 1
    wide: Real = gaussian_filter(
        rng.standard_normal((shape[0] + 2 * edge, shape[1] + 2 * edge)), correlation_cells, mode="wrap"
    )
    impulse = np.zeros(8 * edge + 1)
    impulse[4 * edge] = 1.0
    line = gaussian_filter(impulse, correlation_cells, mode="wrap")
    return wide[edge:-edge, edge:-edge] / float((line**2).sum())


def slow_field(shape: tuple[int, int], slow: float, rng: np.random.Generator) -> Real:
    """Return a gradient and a bowl in a random direction, each of standard deviation ``slow`` over the width."""
    y, x = np.mgrid[: shape[0], : shape[1]] / shape[1]
    x, y = x - x.mean(), y - y.mean()
    turn = rng.uniform(0, 2 * np.pi)
    along = np.cos(turn) * x + np.sin(turn) * y
    tilt, bowl = rng.normal(0, slow, 2) if slow > 0 else (0.0, 0.0)
    return np.asarray(tilt * along + 4 * bowl * (along**2 - (along**2).mean()))


def marked_for_showing(one: FieldMap) -> FieldMap:
    """Return a map as one of a JPEG."""
    return replace(one, for_showing=True)


def _covered(edges: Real, low: float, high: float) -> Real:
    """Return which share of each cell along one direction lies between two places."""
    inside = np.minimum(edges[1:], high) - np.maximum(edges[:-1], low)
    return np.clip(inside / np.diff(edges), 0.0, 1.0)
