"""Native non-uniformity of a new panel: broad slopes and clouds, and a grain from pixel to pixel."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]

_GRAIN = 128


@dataclass(frozen=True, slots=True)
class Uniformity:
    """How uneven the panel left the factory; the same seed gives the same panel."""

    seed: int = 7
    smooth: float = 0.008
    """Standard deviation of the broad part over the panel, relative."""
    own: float = 0.4
    """Share of the broad part that each channel has for itself: it shows as colour."""
    grain: float = 0.006
    """Standard deviation from pixel to pixel, relative; an aperture averages most of it out."""

    def broad(self, x: Real, y: Real) -> Real:
        """Give the factors ``(n, 3)`` at shares of width and height; exactly 1 in the centre."""
        weights = _weights(self.seed, self.own)
        logs = (_terms(x, y) - _terms(np.array([0.5]), np.array([0.5]))) @ weights.T
        return np.asarray(np.exp(self.smooth * logs))

    def grain_at(self, columns: NDArray[np.intp], rows: NDArray[np.intp]) -> Real:
        """Give the factors ``(n, 3)`` of single pixels."""
        return np.asarray(1 + self.grain * _tile(self.seed)[rows % _GRAIN, columns % _GRAIN])


EVEN = Uniformity(smooth=0.0, grain=0.0)

_TERMS = 8


@lru_cache(maxsize=64)
def _weights(seed: int, own: float) -> Real:
    rng = np.random.default_rng((seed, 1))
    common, single = rng.standard_normal(_TERMS), rng.standard_normal((3, _TERMS))
    return np.asarray((1 - own) ** 0.5 * common + own**0.5 * single)


@lru_cache(maxsize=8)
def _tile(seed: int) -> Real:
    return np.random.default_rng((seed, 2)).standard_normal((_GRAIN, _GRAIN, 3))


def _terms(x: Real, y: Real) -> Real:
    """Give broad shapes over the panel, each with a spread of about 0.35, so that eight make about 1."""
    u, v = 2 * x - 1, 2 * y - 1
    shapes = (
        0.6 * u,
        0.6 * v,
        1.2 * (u * u - 1 / 3),
        1.2 * (v * v - 1 / 3),
        1.1 * u * v,
        0.5 * np.cos(3.1 * u + 1.0) * np.cos(1.7 * v - 0.4),
        0.5 * np.cos(4.7 * u - 0.7) * np.cos(2.9 * v + 0.9),
        0.5 * np.sin(5.9 * u + 0.3) * np.cos(4.1 * v - 1.1),
    )
    return np.stack(shapes, axis=-1)
