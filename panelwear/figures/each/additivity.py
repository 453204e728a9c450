"""Additivity: luminance of white over the sum of its primaries; 1 when the channels just add (IDMS)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from panelwear.figures.evidence import Evidence, Told
from panelwear.figures.pick import black, preferred, primary
from panelwear.uncertainty.estimate import Estimate

ORDER = 80

Real = NDArray[np.float64]


def figures(evidence: Evidence) -> list[Estimate]:
    """Return ``additivity``; above 1 a fourth channel helps white, below 1 something limits it."""
    hues = [primary(evidence, hue) for hue in ("red", "green", "blue")]
    parts = [m for m in hues if m is not None]
    if len(parts) < 3 or len({(m.code, m.geometry) for m in parts}) > 1:
        return []
    level = (parts[0].code,) * 3
    same = [m for m in evidence.means if m.codes == level and m.geometry == parts[0].geometry and m.place == "centre"]
    # White read among the primaries comes first: it is nearest to them in time.
    whites = sorted(preferred(same), key=lambda m: m.purpose != "primary")
    if not whites:
        return []
    dark = black(evidence)
    base = [dark] if dark is not None else []

    def additivity(XYZ: Real) -> Real:
        # Black is counted once in white and three times in the sum.
        net = XYZ[:, 4, 1] if base else 0.0
        return np.asarray((XYZ[:, 0, 1] - net) / (XYZ[:, 1:4, 1].sum(axis=1) - 3 * net))

    told = Told("additivity", "1", "additivity, W / (R + G + B)")
    return [evidence.estimate(told, [whites[0], *parts, *base], additivity)]
