"""Colour temperatures from published tables alone, to hold the program's own against: no library of colour has a part.

The CIE 1931 2 degree observer stands in ``cie_1931_observer.csv``, 360 to 830 nm at 1 nm (ISO/CIE 11664-1). The table
was taken from the data set of a general-purpose library and is told from a wrong one by two published figures: its sums
and, through the formula of CIE 15, the chromaticity of illuminant A. The computation is ours: Planck's law summed over
the table, and the point of the continuous locus that is nearest, found by halving; not Ohno's method,
which the program uses.
"""

from __future__ import annotations

import csv
import math
from functools import cache
from pathlib import Path

C2_M_K = 1.4388e-2
"""Second radiation constant of ITS-90, which CIE 15 takes for colour temperatures."""
ENDS_K = (1000.0, 100000.0)

Point = tuple[float, float]


@cache
def observer() -> dict[int, tuple[float, float, float]]:
    """Return x, y, z of the CIE 1931 observer by wavelength in nm."""
    with (Path(__file__).parent / "cie_1931_observer.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return {int(r["wavelength_nm"]): (float(r["x_bar"]), float(r["y_bar"]), float(r["z_bar"])) for r in rows}


def xy_of_planck(T_K: float, c2_m_K: float = C2_M_K, wavelengths_nm: range = range(360, 831)) -> Point:
    """Return x, y of a black body: Planck's law without its constant factor, times the observer, summed."""
    sums = [0.0, 0.0, 0.0]
    for nm in wavelengths_nm:
        # In units of 560 nm, as CIE 15 writes illuminant A; the factor falls out of x and y.
        light = (560 / nm) ** 5 / math.expm1(c2_m_K * 1e9 / (nm * T_K))
        for i, weight in enumerate(observer()[nm]):
            sums[i] += light * weight
    return sums[0] / sum(sums), sums[1] / sum(sums)


def uv_of_xy(x: float, y: float) -> Point:
    """Return CIE 1960 u, v (CIE 15)."""
    return 4 * x / (-2 * x + 12 * y + 3), 6 * y / (-2 * x + 12 * y + 3)


def xy_of_uv(u: float, v: float) -> Point:
    """Return x, y of CIE 1960 u, v (CIE 15)."""
    return 3 * u / (2 * u - 8 * v + 4), 2 * v / (2 * u - 8 * v + 4)


def _tangent(mired: float) -> Point:
    """Return the direction of the locus in u, v towards higher mired, i.e. lower temperatures."""
    (u0, v0), (u1, v1) = (uv_of_xy(*xy_of_planck(1e6 / m)) for m in (mired - 1e-3, mired + 1e-3))
    length = math.hypot(u1 - u0, v1 - v0)
    return (u1 - u0) / length, (v1 - v0) / length


def cct_duv(u: float, v: float) -> Point:
    """Return temperature in K and signed distance (+ above the locus) of the nearest Planckian point.

    Going along the locus the point lies ahead until it is nearest and behind afterwards; the place where that turns is
    halved for until it is known to about 1e-9 mired.
    """
    low, high = 1e6 / ENDS_K[1], 1e6 / ENDS_K[0]
    while high - low > 1e-9:
        middle = (low + high) / 2
        (pu, pv), (tu, tv) = uv_of_xy(*xy_of_planck(1e6 / middle)), _tangent(middle)
        if (u - pu) * tu + (v - pv) * tv > 0:
            low = middle
        else:
            high = middle
    T_K = 2e6 / (low + high)
    pu, pv = uv_of_xy(*xy_of_planck(T_K))
    return T_K, math.copysign(math.hypot(u - pu, v - pv), v - pv)


def uv_off_the_locus(T_K: float, duv: float) -> Point:
    """Return u, v at a distance from the Planckian point of a temperature, square to the locus; + is above it."""
    (u, v), (tu, tv) = uv_of_xy(*xy_of_planck(T_K)), _tangent(1e6 / T_K)
    # Towards lower temperatures u rises, so the tangent turned by a quarter points up.
    return u - duv * tv, v + duv * tu
