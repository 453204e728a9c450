"""Light for a simulated probe."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import cycle

LightSource = Callable[[float], tuple[float, float, float]]
"""Integration time in s → X, Y, Z in cd/m². Called in the server's thread, once a measurement."""

WHITE_D65 = (95.047, 100.0, 108.883)
"""CIE standard illuminant D65, 2° observer, scaled to 100 cd/m² (CIE 15)."""


def steady(X: float, Y: float, Z: float) -> LightSource:
    """Give the same light for ever, in cd/m²."""
    return lambda _integration_s: (X, Y, Z)


def listed(values: Iterable[tuple[float, float, float]]) -> LightSource:
    """Give one (X, Y, Z) in cd/m² after the other, from the beginning again when they are used up."""
    following = cycle(tuple(values))
    return lambda _integration_s: next(following)
