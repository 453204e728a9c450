"""Gamma: slope of log light above black against log drive, overall and between neighbouring levels (IDMS)."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from panelwear.figures.evidence import Evidence, Told
from panelwear.figures.means import Mean
from panelwear.figures.pick import black, ramp
from panelwear.uncertainty.estimate import Estimate

ORDER = 40

Real = NDArray[np.float64]


def figures(evidence: Evidence) -> list[Estimate]:
    """Return ``gamma`` and ``gamma/local/<level>-<level>``; needs two levels above black and their black."""
    dark = black(evidence)
    # Black is taken off even where it cannot be detected: its uncertainty goes along, and leaving it off would
    # bend the dark end.
    base = [dark] if dark is not None else []
    net = base[0].Y if base else 0.0
    levels = [m for m in ramp(evidence) if m.code > 0 and m.Y - net > evidence.floor_for(m)]
    if len(levels) < 2:
        return []
    drive = np.log([m.code / 255 for m in levels])
    told = [Told("gamma", "1", "gamma")]
    told += [_local(a, b) for a, b in pairwise(levels)]

    def slopes(XYZ: Real) -> Real:
        light = XYZ[:, : len(levels), 1] - (XYZ[:, len(levels) :, 1] if base else 0.0)
        log_light = np.log(np.where(light > 0, light, np.nan))
        away = drive - drive.mean()
        overall = log_light @ away / (away @ away)
        return np.column_stack([overall, np.diff(log_light, axis=1) / np.diff(drive)])

    return evidence.estimates(told, levels + base, slopes)


def _local(a: Mean, b: Mean) -> Told:
    return Told(f"gamma/local/{a.level}-{b.level}", "1", f"gamma from drive level {a.code:g} to {b.code:g}")
