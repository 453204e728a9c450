"""Contrast: white over black, one after the other, and inside a checkerboard (IDMS)."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from panelwear.figures.evidence import Evidence, Told, as_limit
from panelwear.figures.means import Mean
from panelwear.figures.own_light import own_light
from panelwear.figures.pick import black, white
from panelwear.uncertainty.coverage import t_factor
from panelwear.uncertainty.estimate import Estimate

ORDER = 30

HARDLY_KNOWN = 0.1
"""Relative standard uncertainty above which only a bound of the contrast is given."""

Real = NDArray[np.float64]

BLACK = Told("black", "cd/m²", "black")
SEQUENTIAL = Told("contrast/sequential", "1", "contrast, sequential")
CHECKERBOARD = Told("contrast/checkerboard", "1", "contrast, checkerboard")


def figures(evidence: Evidence) -> list[Estimate]:
    """Return ``contrast/sequential`` and ``contrast/checkerboard``, each "> bound" where black is a bound."""
    return _sequential(evidence) + _checkerboard(evidence)


def _sequential(evidence: Evidence) -> list[Estimate]:
    bright, dark = white(evidence), black(evidence)
    if bright is None or dark is None or bright.Y <= 0:
        return []
    own = own_light(evidence, dark, BLACK)
    if own.estimate.limit:
        return [_over_floor(evidence, SEQUENTIAL, [bright], own.estimate.value)]
    return [_ratio(evidence, SEQUENTIAL, [bright], [dark], own.taken_off)]


def _checkerboard(evidence: Evidence) -> list[Estimate]:
    cells = [m for m in evidence.select(purpose="checkerboard") if m.geometry[-1:] in {"a", "b"}]
    phases: dict[tuple[str, str, str], list[Mean]] = {}
    for mean in cells:
        phases.setdefault((mean.place, mean.geometry[:-1], mean.level), []).append(mean)
    pairs = [sorted(both, key=lambda m: -m.Y) for both in phases.values() if len(both) == 2]
    if not pairs:
        return []
    bright, dark = [p[0] for p in pairs], [p[1] for p in pairs]
    own = [own_light(evidence, m, BLACK) for m in dark]
    if any(one.estimate.limit for one in own):
        floor = float(np.mean([one.estimate.value for one in own]))
        return [_over_floor(evidence, CHECKERBOARD, bright, floor)]
    return [_ratio(evidence, CHECKERBOARD, bright, dark, own[0].taken_off)]


def _over_floor(evidence: Evidence, told: Told, bright: list[Mean], floor_cd_m2: float) -> Estimate:
    """Give the contrast over a black that is only a bound as a lower bound."""
    found = evidence.estimate(told, bright, lambda XYZ: np.asarray(XYZ[:, :, 1].mean(axis=1) / floor_cd_m2))
    return as_limit(found, ">", found.value)


def _ratio(evidence: Evidence, told: Told, bright: list[Mean], dark: list[Mean], off: Mean | None) -> Estimate:
    """Give mean bright over mean dark, what is not the panel's light taken off either; a bound when hardly known.

    A ratio is straight in its denominator only while that is well known; with black at 30 % the interval W / B ± U
    would miss the truth most of the time.
    """
    k, others = len(bright), [] if off is None else [off]

    def means_ratio(XYZ: Real) -> Real:
        net = XYZ[:, 2 * k :, 1].sum(axis=1)
        return np.asarray((XYZ[:, :k, 1].mean(axis=1) - net) / (XYZ[:, k : 2 * k, 1].mean(axis=1) - net))

    found = evidence.estimate(told, [*bright, *dark, *others], means_ratio)
    # A few readings may agree by luck: the probe's known noise in the dark counts at least.
    noise = max(
        evidence.meter.dark_noise_cd_m2 * math.hypot(*(1 / math.sqrt(m.n) for m in (one, *others)))
        / max(one.Y - sum(o.Y for o in others), 1e-9)
        for one in dark
    )  # fmt: skip
    relative = max(found.u / found.value, noise)
    if not relative > HARDLY_KNOWN:
        return found
    return as_limit(found, ">", found.value / (1 + t_factor(found.dof, 0.90) * relative))
