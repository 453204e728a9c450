"""From what a meter shows to X, Y, Z in cd/m².

Chromaticity: CIE 15, x = X / (X + Y + Z), u' = 4X / (X + 15Y + 3Z), v' = 9Y / (X + 15Y + 3Z).
"""

from __future__ import annotations

import math
from collections.abc import Mapping

HOLES: dict[str, tuple[str, ...]] = {
    "XYZ": ("X", "Y", "Z"),
    "Yxy": ("Y", "x", "y"),
    "Yu'v'": ("Y", "u_prime", "v_prime"),
    "Y": ("Y",),
}
"""Quantity → names of the holes its reply must have."""

FOOTLAMBERT_CD_M2 = 1.0 / (math.pi * 0.3048**2)
"""1 fL is 1/π cd/ft² (ANSI/IEEE SI 10), with the foot of 0.3048 m exactly."""

UNITS: dict[str, float] = {
    "cd/m2": 1.0,
    "cd/m²": 1.0,
    "fL": FOOTLAMBERT_CD_M2,
    # A meter held to a Lambertian surface shows its exitance, E = π L: lux that stand for π times the luminance.
    "lx·pi": 1.0 / math.pi,
    "lx·π": 1.0 / math.pi,
}
"""Unit → what one of it is in cd/m²."""

Tristimulus = tuple[float | None, float, float | None]


def tristimulus(quantity: str, values: Mapping[str, float], factor: float = 1.0) -> Tristimulus:
    """Convert one reply to (X, Y, Z) in cd/m²; X and Z are ``None`` where the reply holds no chromaticity.

    Args:
        quantity: A key of ``HOLES``.
        values: One number for each hole of that quantity.
        factor: cd/m² in one unit of the reply.
    """
    Y = values["Y"] * factor
    if quantity == "XYZ":
        return values["X"] * factor, Y, values["Z"] * factor
    if quantity == "Yxy":
        x, y = values["x"], values["y"]
        if y <= 0.0:
            return None, Y, None
        return Y * x / y, Y, Y * (1.0 - x - y) / y
    if quantity == "Yu'v'":
        u, v = values["u_prime"], values["v_prime"]
        if v <= 0.0:
            return None, Y, None
        return Y * 9.0 * u / (4.0 * v), Y, Y * (12.0 - 3.0 * u - 20.0 * v) / (4.0 * v)
    return None, Y, None
