"""Red, green and blue as they were read, and what each one's own light did from one checkpoint to another."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from panelwear.compare.changes import Step, step_between
from panelwear.compare.differences import Comparability
from panelwear.compare.pairing import Pairing
from panelwear.figures.evidence import Evidence
from panelwear.figures.jointly import jointly
from panelwear.figures.means import Mean
from panelwear.figures.own_light import bases, net
from panelwear.figures.pick import primary
from panelwear.uncertainty.causes import Source

Real = NDArray[np.float64]

HUES = ("red", "green", "blue")
AGAINST_OTHERS = np.array([[1, -0.5, -0.5], [-0.5, 1, -0.5], [-0.5, -0.5, 1]])
"""Each channel's log retention less the mean of the other two's."""


def primaries(evidence: Evidence) -> list[Mean]:
    """Return red, green and blue where all three were read alike and bright enough, else nothing."""
    found = [primary(evidence, hue) for hue in HUES]
    means = [m for m in found if m is not None and not evidence.is_dark(m)]
    return means if len(means) == len(HUES) and len({(m.code, m.geometry) for m in means}) == 1 else []


def channel_step(pairing: Pairing, how: Comparability, then: Sequence[Mean], now: Sequence[Mean]) -> Step | None:
    """Return the step of 100 ln of each channel's own light: less black, where black was read at both checkpoints."""
    under = bases(pairing.before, pairing.after, (*then, *now))
    sides = []
    for i, (evidence, means) in enumerate(((pairing.before, then), (pairing.after, now))):
        read = list(means) if under is None else [*means, under[i]]
        of = log_luminances if under is None else net(log_luminances, len(means))
        found = jointly(evidence, read, of, more=mismatch_of(read, how.mismatch))
        if found is None:
            return None
        sides.append(found)
    return step_between(sides[0], sides[1], how.common)


def log_luminances(XYZ: Real) -> Real:
    """Return 100 ln Y of every patch, ``(m, k, 3)`` to ``(m, k)``."""
    return np.asarray(100 * np.log(XYZ[:, :, 1]))


def mismatch_of(means: Sequence[Mean], share: float) -> tuple[Source, ...]:
    """Return what another probe's filters put on each channel's luminance, each its own; nothing for a share of 0."""
    if share == 0:
        return ()
    k = len(means)
    factor = np.zeros((k, 3, k))
    for i, mean in enumerate(means):
        factor[i, :, i] = share * mean.XYZ
    return (Source("spectral mismatch", factor, note="another probe's filters"),)
