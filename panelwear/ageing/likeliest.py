"""The likeliest course of a loss: a stretched exponential, anchored where the data is.

ln L = A - exp(q) (h / H)^b, H the hours of the newest checkpoint: exp(q) is what is lost by then, which the
checkpoints know well, while tau of exp(-(h / tau)^b) (Fery et al., Appl. Phys. Lett. 87 (2005), 213502) follows from it
and b, badly known both. A is free: the baseline is a reading too. What published lifetimes say of b enters as one
observation more.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from panelwear.ageing.fitting import fit
from panelwear.ageing.laws import LEAST_B, LIKELY_B, LIKELY_B_U, MOST_B
from panelwear.ageing.profile import Real, Series

ON_ITS_BOUND = 0.005


@dataclass(frozen=True, slots=True)
class Likeliest:
    """The course fitted best."""

    offsets: tuple[float, ...]
    """A of each stretch between cuts."""
    lost: float
    """exp(q): loss of ln L from 0 h to the newest checkpoint."""
    lost_u: float
    b: float
    b_u: float
    begun_h: float
    now_h: float

    @property
    def on_its_bound(self) -> bool:
        """Whether the exponent is as small or as large as it is allowed to be."""
        return self.b < LEAST_B + ON_ITS_BOUND or self.b > MOST_B - ON_ITS_BOUND

    def hours_of(self, target_loss: float, step: float = 0.0) -> float:
        """Return T = H [(-ln(1 - x) + step) / exp(q) + (h0 / H)^b]^(1 / b): when a loss since the baseline is reached.

        Args:
            target_loss: x, as a share.
            step: of ln L at cuts, which counts.
        """
        wanted = (-math.log(1 - target_loss) + step) / self.lost + (self.begun_h / self.now_h) ** self.b
        return float(self.now_h * max(wanted, 0.0) ** (1 / self.b))


def likeliest(series: Series) -> Likeliest | None:
    """Fit the course; ``None`` where the fit does not come to rest."""
    k, H = series.stretches, series.now
    with_prior = np.zeros((len(series.y) + 1, len(series.y) + 1))
    with_prior[:-1, :-1], with_prior[-1, -1] = series.covariance, LIKELY_B_U**2

    def model(p: Real) -> Real:
        course = p[series.stretch] - np.exp(p[k]) * (series.hours / H) ** p[k + 1]
        return np.concatenate([course, p[k + 1 :]])

    moved = max(float(series.y[0] - series.y[-1]), 1e-4)
    start = [float(series.y[0])] * k + [math.log(moved), LIKELY_B]
    y = np.concatenate([series.y, [LIKELY_B]])
    free: Sequence[float] = [math.inf] * (k + 1)
    found = fit(model, start, y, with_prior, ([-one for one in free] + [LEAST_B], [*free, MOST_B]))
    if not found.ended:
        return None
    lost = math.exp(found.values[k])
    return Likeliest(
        offsets=tuple(map(float, found.values[:k])),
        lost=lost,
        lost_u=lost * float(found.u[k]),
        b=float(found.values[k + 1]),
        b_u=float(found.u[k + 1]),
        begun_h=series.begun,
        now_h=H,
    )
