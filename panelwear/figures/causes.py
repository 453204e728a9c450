"""Causes of uncertainty of some patches: each one's own scatter and rounding, and what the probe does to all."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from panelwear.figures.means import Mean
from panelwear.figures.pooled_noise import LEAST_DOF, PooledNoise
from panelwear.uncertainty.causes import Source
from panelwear.uncertainty.chromaticity import tristimulus_per_xy
from panelwear.uncertainty.filters import of_filters
from panelwear.uncertainty.meter import ASSUMED, MeterTerms
from panelwear.uncertainty.rounding import steps_of

Real = NDArray[np.float64]

LINEAR_AT_CD_M2 = 100.0
"""Luminance meters are calibrated at (common practice, no source)."""


def own_causes(means: Sequence[Mean], XYZ: Real, meter: MeterTerms, noise: PooledNoise | None) -> list[Source]:
    """Return what each patch has to itself: the scatter of its readings, and the probe's last digit."""
    found = []
    counted = np.array([m.n for m in means])
    pooled = None if noise is None else noise.of(XYZ, counted, meter.dark_noise_cd_m2)
    for i, mean in enumerate(means):
        of_all = None if noise is None or pooled is None else (noise.dof, pooled[i])
        scatter, dof, note = _scatter(mean, meter, of_all)
        if scatter.any():
            factor = np.zeros((len(means), *scatter.shape))
            factor[i] = scatter
            found.append(Source("repeatability", factor, dof, "B" if note else "A", note))
    steps = steps_of(XYZ, meter)
    if steps.any():
        found.append(Source("resolution", steps))
    return found


def _scatter(mean: Mean, meter: MeterTerms, noise: tuple[float, Real] | None) -> tuple[Real, float, str]:
    """Return what repeatability does to a mean ``(3, k)``, the degrees of freedom, and a note if it is assumed.

    ``noise``: of all patches together, degrees of freedom and what it does to this mean.
    """
    if mean.dof >= LEAST_DOF or (mean.dof > 0 and noise is None):
        return mean.scatter, mean.dof, ""
    if noise is not None:
        return noise[1], noise[0], ""
    one = math.hypot(meter.dark_noise_cd_m2, meter.placement * mean.Y if meter.dark_noise_cd_m2 else 0.0)
    return np.eye(3) * one / math.sqrt(mean.n), math.inf, "assumed: one reading does not tell"


def meter_causes(means: Sequence[Mean], XYZ: Real, meter: MeterTerms, share: Real) -> list[Source]:
    """Return what the probe does to all patches at once.

    Args:
        means: k patches.
        XYZ: theirs, ``(k, 3)`` in cd/m².
        meter: the probe's terms.
        share: of each patch's readings that each evening gave, ``(k, evenings)``.
    """
    by_xy = tristimulus_per_xy(XYZ)
    decades = np.log10(np.maximum(XYZ[:, 1], 1e-6) / LINEAR_AT_CD_M2)
    every = {
        "linearity": (XYZ * decades[:, None])[:, :, None] * meter.linearity_per_decade,
        "zero": np.full((len(XYZ), 3, 1), meter.zero_cd_m2),
        "calibration scale": XYZ[:, :, None] * meter.calibration_scale,
        "calibration chromaticity": by_xy * meter.calibration_xy,
    }
    between = (
        ("session scale", XYZ[:, :, None] * meter.session_scale, meter.session_scale_dof),
        ("session chromaticity", by_xy * meter.session_xy, meter.session_xy_dof),
        ("session filters", of_filters([m.hue for m in means], XYZ, meter), meter.session_filters_dof),
    )
    found = [Source(name, factor) for name, factor in every.items() if np.any(factor)]
    # Each evening has deviates of its own, at the share of a patch's readings that it gave.
    return found + [
        Source(
            name,
            np.einsum("kcr,ke->kcre", factor, share).reshape(*factor.shape[:2], -1),
            dof or math.inf,
            "A" if dof else "B",
            "" if dof else ASSUMED,
        )
        for name, factor, dof in between
        if np.any(factor)
    ]
