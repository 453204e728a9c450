"""Gamut: how much of a standard's triangle red, green and blue cover, and how large theirs is beside it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from panelwear.colorimetry.basic import uv_prime_of_xy, xy_of
from panelwear.colorimetry.gamut import CALLED, STANDARDS_XY, area, coverage
from panelwear.figures.evidence import Evidence, Told
from panelwear.figures.pick import primary
from panelwear.uncertainty.estimate import Estimate

ORDER = 75
HUES = ("red", "green", "blue")
DIAGRAMS = (("uv_prime", "u'v'"), ("xy", "xy"))

Real = NDArray[np.float64]


def figures(evidence: Evidence) -> list[Estimate]:
    """Return ``gamut/<standard>.<diagram>.coverage`` and ``.area`` in % of the standard's triangle.

    Coverage is the common part and at most 100 %; the area ratio may be larger.
    """
    means = [mean for hue in HUES if (mean := primary(evidence, hue)) is not None]
    if len(means) < len(HUES) or any(not m.has_colour or evidence.is_dark(m) for m in means):
        return []
    told = [
        Told(f"gamut/{name}.{diagram}.{part}", "%", f"{CALLED[name]}, {said} in {drawn}")
        for name in STANDARDS_XY
        for diagram, drawn in DIAGRAMS
        for part, said in (("coverage", "coverage"), ("area", "area of the panel's triangle over its own"))
    ]
    return evidence.estimates(told, means, _all)


def _all(XYZ: Real) -> Real:
    """Return every coverage and area ratio in %, from ``(m, 3, 3)`` to ``(m, q)``."""
    return np.array([_of_one(xy) for xy in xy_of(XYZ)], dtype=np.float64)


def _of_one(primaries_xy: Real) -> list[float]:
    found = []
    for standard_xy in STANDARDS_XY.values():
        standard = np.array(standard_xy)
        for mine, its in ((uv_prime_of_xy(primaries_xy), uv_prime_of_xy(standard)), (primaries_xy, standard)):
            found += [100 * coverage(mine, its), 100 * area(mine) / area(its)]
    return found
