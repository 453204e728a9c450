"""Contrast: white over black, one after the other, and inside a checkerboard (IDMS)."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from panelwear.estimate import Estimate
from panelwear.figures.formulas import ratio
from panelwear.figures.means import Mean
from panelwear.figures.pick import black, white
from panelwear.figures.session import Session, Told, as_limit
from panelwear.uncertainty.coverage import t_factor

ORDER = 30

HARDLY_KNOWN = 0.1
"""Relative standard uncertainty above which only a bound of the contrast is given."""

SEQUENTIAL = Told("contrast/sequential", "1", "contrast, sequential")
CHECKERBOARD = Told("contrast/checkerboard", "1", "contrast, checkerboard")


def figures(session: Session) -> list[Estimate]:
    """Return ``contrast/sequential`` and ``contrast/checkerboard``, each "> bound" where black is a bound."""
    return _sequential(session) + _checkerboard(session)


def _sequential(session: Session) -> list[Estimate]:
    bright, dark = white(session), black(session)
    if bright is None or dark is None or bright.Y <= 0:
        return []
    if session.is_dark(dark):
        return [_over_floor(session, SEQUENTIAL, [bright], session.floor_for(dark))]
    return [_sure(session, session.estimate(SEQUENTIAL, [bright, dark], ratio), [dark])]


def _over_floor(session: Session, told: Told, bright: list[Mean], floor_cd_m2: float) -> Estimate:
    """Give the contrast over a black that is only a bound as a lower bound."""
    found = session.estimate(told, bright, lambda XYZ: np.asarray(XYZ[:, :, 1].mean(axis=1) / floor_cd_m2))
    return as_limit(found, ">", found.value)


def _sure(session: Session, found: Estimate, dark: list[Mean]) -> Estimate:
    """Give a contrast whose black is hardly known as its lower bound.

    A ratio is straight in its denominator only while that is well known; with black at 30 % the interval W / B ± U
    would miss the truth most of the time.
    """
    # A few readings may agree by luck: the probe's known noise in the dark counts at least.
    noise = max(session.meter.dark_noise_cd_m2 / math.sqrt(m.n) / m.Y for m in dark)
    relative = max(found.u / found.value, noise)
    if not relative > HARDLY_KNOWN:
        return found
    return as_limit(found, ">", found.value / (1 + t_factor(found.dof, 0.90) * relative))


def _checkerboard(session: Session) -> list[Estimate]:
    cells = [m for m in session.select(purpose="checkerboard") if m.geometry[-1:] in {"a", "b"}]
    phases: dict[tuple[str, str, str], list[Mean]] = {}
    for mean in cells:
        phases.setdefault((mean.place, mean.geometry[:-1], mean.level), []).append(mean)
    pairs = [sorted(both, key=lambda m: -m.Y) for both in phases.values() if len(both) == 2]
    if not pairs:
        return []
    bright, dark = [p[0] for p in pairs], [p[1] for p in pairs]
    k = len(pairs)

    def means_ratio(XYZ: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(XYZ[:, :k, 1].mean(axis=1) / XYZ[:, k:, 1].mean(axis=1))

    if any(session.is_dark(m) for m in dark):
        floor = float(np.mean([max(m.Y, session.floor_for(m)) for m in dark]))
        return [_over_floor(session, CHECKERBOARD, bright, floor)]
    return [_sure(session, session.estimate(CHECKERBOARD, bright + dark, means_ratio), dark)]
