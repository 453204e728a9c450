"""The noise of one reading, pooled over everything that was read twice: for patches whose own readings cannot tell.

One or two readings tell next to nothing of their own scatter (one degree of freedom: t = 12.7 at 95 %). A probe
scatters alike, as a share of the light, on every patch that is not dark, so what all of them tell together serves there
(JCGM 100, 4.2.4: a pooled estimate of the variance that characterises the measurement).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.figures.means import Mean, root_of
from panelwear.panel.drift import Drift
from panelwear.panel.tint_drift import TintDrift

Real = NDArray[np.float64]

LEAST_DOF = 4
"""Fewer degrees of freedom of its own, and a patch takes the pooled noise."""
BRIGHT = 30.0
"""Patches count that are this many times brighter than the noise in the dark."""


@dataclass(frozen=True, slots=True, eq=False)
class PooledNoise:
    """Scatter of single readings as a share of the light."""

    relative: Real
    """``(3, 3)`` factor F with F Fᵀ the covariance of ln X, ln Y, ln Z of one reading."""
    dof: float

    def of(self, XYZ: Real, n: NDArray[np.int64], dark_cd_m2: float) -> Real:
        """Return factors ``(k, 3, 6)`` of the covariances of means of n readings each, ``(k,)``, in cd/m².

        ``XYZ``: of k patches, ``(k, 3)``.
        """
        both = np.empty((*XYZ.shape, 6))
        both[:, :, :3] = XYZ[:, :, None] * self.relative
        both[:, :, 3:] = dark_cd_m2 * np.eye(3)
        return both / np.sqrt(n)[:, None, None]


def pooled_noise(means: Sequence[Mean], dark_cd_m2: float, drift: Drift, tint: TintDrift) -> PooledNoise | None:
    """Pool the scatter inside the showings of all patches bright enough to tell.

    Where every patch was read once only, what the drift fits take for the noise of a reading stands in.

    Args:
        means: all patches of a checkpoint.
        dark_cd_m2: standard deviation of one reading of black.
        drift: the fit of its luminance.
        tint: the fits of its colour.
    """
    telling = [m for m in means if m.dof > 0 and m.XYZ.min() > BRIGHT * dark_cd_m2]
    dof = sum(m.dof for m in telling)
    if dof >= LEAST_DOF:
        shares = [m.scatter / m.XYZ[:, None] for m in telling]
        total = sum(m.n * m.dof * (s @ s.T) for m, s in zip(telling, shares, strict=True))
        return PooledNoise(root_of(np.asarray(total) / dof), float(dof))
    return _of_the_fits(drift, tint)


def _of_the_fits(drift: Drift, tint: TintDrift) -> PooledNoise | None:
    if not drift.segments:
        return None
    longest = max(drift.segments, key=lambda fit: fit.dof)
    share = np.full((3, 3), longest.noise**2)
    for channel, fit in ((0, tint.x_over_y.of(longest.segment)), (2, tint.z_over_y.of(longest.segment))):
        share[channel, channel] += fit.noise**2 if fit else 0.0
    return PooledNoise(root_of(share), longest.dof)
