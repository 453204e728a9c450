"""The likelihood of every time at which a threshold may be reached, under all laws, with everything else left free.

A series is y = A + q g(h): g the course of a law (0 at the baseline, 1 now), A an offset of its own for every stretch
between two cuts, q what was lost or gained. For each shape of each law A and q are fitted by weighted least squares, in
closed form. That a threshold is reached at T is one linear condition on them,

    c0 + c . (A, q) + g(T) d . (A, q) = 0,

and what the condition costs in χ² follows in closed form too (a Lagrange multiplier). The least cost over all shapes
and laws, above the best fit of all, is the profile of T: the times it leaves below 3.84 are the 95 % limits
(likelihood ratio, one parameter). Laws in light are fitted to exp(y).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from panelwear.ageing.laws import LAWS, LIKELY_B, SPANS_ON, Law, courses_on

Real = NDArray[np.float64]

CHI2_95 = 3.84
"""Of one parameter."""


@dataclass(frozen=True, slots=True, eq=False)
class Series:
    """A figure over hours, ready to be fitted."""

    hours: Real
    """``(n,)``, rising."""
    y: Real
    covariance: Real
    """Of y ``(n, n)``."""
    stretch: NDArray[np.int64]
    """Which stretch between cuts each checkpoint lies in, 0, 1, ... ``(n,)``."""
    is_log: bool = True
    """Whether y is ln L, so that laws in light have to be fitted to exp(y)."""

    @property
    def begun(self) -> float:
        """Hours at the baseline."""
        return float(self.hours[0])

    @property
    def now(self) -> float:
        """Hours at the newest checkpoint."""
        return float(self.hours[-1])

    @property
    def stretches(self) -> int:
        """How many there are."""
        return int(self.stretch[-1]) + 1

    @property
    def spare(self) -> int:
        """Checkpoints less what is fitted: an offset a stretch, the loss and the shape."""
        return max(len(self.y) - self.stretches - 2, 1)


@dataclass(frozen=True, slots=True, eq=False)
class Condition:
    """What holds when the threshold is reached: c0 + c . p + g d . p = 0, p: offsets, then q."""

    c0: float
    c: Real
    d: Real


Asked = Callable[[Law], Condition]


@dataclass(frozen=True, slots=True, eq=False)
class Profile:
    """How likely each time is."""

    hours: Real
    """``(m,)``."""
    cost: Real
    """χ² above the best fit of all ``(m,)``."""
    at_never: float
    """The same if the threshold is never reached."""
    laws: tuple[str, ...]
    """Those that the checkpoints allow."""
    chi2: float
    """Of the best fit."""

    def limits(self, cost: float = CHI2_95) -> tuple[float, float]:
        """Return the first and the last time that cost no more, ``inf`` where the end of what is tried is allowed."""
        inside = np.flatnonzero(self.cost <= cost)
        if not len(inside):
            # Between two times that were tried, or beyond all of them.
            at = int(np.argmin(self.cost))
            return float(self.hours[at]), float(self.hours[at]) if self.at_never > cost else math.inf
        first, last = int(inside[0]), int(inside[-1])
        low = self._crossing(first - 1, first, cost) if first > 0 else float(self.hours[0])
        if last == len(self.hours) - 1 or self.at_never <= cost:
            return low, math.inf
        return low, self._crossing(last + 1, last, cost)

    def from_hours(self, least: float) -> Profile:
        """Return the same from some hours on."""
        kept = self.hours >= least * (1 - 1e-12)
        return replace(self, hours=self.hours[kept], cost=self.cost[kept])

    def _crossing(self, outside: int, inside: int, cost: float) -> float:
        """Return where the root of the cost, which is nearly straight, crosses the limit."""
        outer, inner = math.sqrt(self.cost[outside]), math.sqrt(max(self.cost[inside], 0.0))
        share = (math.sqrt(cost) - inner) / (outer - inner)
        log_h = np.log(self.hours)
        return float(np.exp(log_h[inside] + share * (log_h[outside] - log_h[inside])))


def either(profiles: Sequence[Profile]) -> Profile:
    """Return the profile of one or another condition of the same series."""
    return replace(profiles[0], cost=np.min([one.cost for one in profiles], axis=0))


def profile(series: Series, asked: Asked, laws: Sequence[Law] = LAWS) -> Profile:
    """Return the likelihood of every time at which what is asked for may come true.

    Args:
        series: of checkpoints.
        asked: the condition under a law.
        laws: that may hold.
    """
    begun, now = series.begun, series.now
    costs, never, best, names = [], [], [], []
    for law in laws:
        p, C, chi2 = _fitted(series, law)
        k = asked(law)
        g = courses_on(law, begun / now)
        at, slope = (k.c0 + p @ k.c)[:, None], (p @ k.d)[:, None]
        cc, cd, dd = (np.einsum("i,sij,j->s", a, C, b)[:, None] for a, b in ((k.c, k.c), (k.c, k.d), (k.d, k.d)))
        against = (chi2 + law.unlikely)[:, None]
        with np.errstate(divide="ignore", invalid="ignore"):
            cost = against + (at + g * slope) ** 2 / (cc + 2 * g * cd + g**2 * dd)
        costs.append(np.nan_to_num(cost, nan=np.inf).min(axis=0))
        never.append(float((against + slope**2 / dd).min()))
        best.append(float(against.min()))
        names.append(law.name)
    least = min(best)
    allowed = tuple(name for name, own in zip(names, best, strict=True) if own - least <= CHI2_95)
    cost = np.min(costs, axis=0) - least
    return Profile(begun + SPANS_ON * (now - begun), cost, min(never) - least, allowed, least)


def _fitted(series: Series, law: Law) -> tuple[Real, Real, Real]:
    """Fit offsets and q for every shape: values ``(s, k)``, covariances ``(s, k, k)`` and χ² ``(s,)``."""
    y, V = series.y, series.covariance
    if series.is_log and not law.in_logs:
        y = np.exp(y)
        V = V * np.outer(y, y)
    whiten = np.linalg.inv(np.linalg.cholesky(V))
    course = law.course(series.hours, series.begun, series.now)
    offsets = (series.stretch[:, None] == np.arange(series.stretches)).astype(float)
    X = np.concatenate([np.broadcast_to(offsets, (len(course), *offsets.shape)), course[:, :, None]], axis=2)
    Xw, yw = whiten @ X, whiten @ y
    N = np.swapaxes(Xw, 1, 2) @ Xw
    # A course that stands still wherever it was read tells nothing: it is left unknown instead of dividing by zero.
    N += 1e-12 * np.trace(N, axis1=1, axis2=2)[:, None, None] * np.eye(N.shape[1])
    C = np.linalg.inv(N)
    p = np.einsum("sij,sj->si", C, np.einsum("snk,n->sk", Xw, yw))
    chi2 = ((yw - np.einsum("snk,sk->sn", Xw, p)) ** 2).sum(axis=1)
    return p, C, chi2


def slopes(hours: Real, y: Real) -> Real:
    """Return how fast a figure goes at each checkpoint, per hour, by the likeliest course through its ends."""
    begun, now = float(hours[0]), float(hours[-1])
    # At 0 h that course is infinitely steep; a tenth of the span on, it is not.
    h = np.maximum(hours, begun + 0.1 * (now - begun)) / now
    course = LIKELY_B * h ** (LIKELY_B - 1) / now / (1 - (begun / now) ** LIKELY_B)
    return np.asarray(course * (y[-1] - y[0]))


def covariance_of(hours: Real, y: Real, u: Real, hours_u: Real, *, model_u: float = 0.0, drift_u: float = 0.0) -> Real:
    """Put together what is uncertain of a series.

    Args:
        hours: hours of use ``(n,)``.
        y: values ``(n,)``.
        u: of each value, independent ``(n,)``.
        hours_u: standard uncertainty of the hours; it counts as what the figure goes in that time.
        model_u: how well any law describes a panel.
        drift_u: what the instrument may have drifted by from first to last. It is common to neighbours: it goes
            straight from none at the baseline, so it cannot be told from wear.
    """
    t = (hours - hours[0]) / (hours[-1] - hours[0])
    own = u**2 + model_u**2 + (slopes(hours, y) * hours_u) ** 2
    return np.asarray(np.diag(own) + drift_u**2 * np.outer(t, t))
