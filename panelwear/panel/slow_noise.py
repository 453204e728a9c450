"""Drift, slow noise and placement, estimated together from what was shown more than once.

Model of the mean ln Y of one showing: level of (place, patch) + drift s(t) + slow noise + one draw for each placement
+ the noise of its readings. Levels are free; all else has a standard deviation, and none of these is known well from
one evening. So no single value is taken: each set of values counts by how well it explains the readings (its restricted
likelihood, every set equally believable beforehand), and what the sets disagree on is part of the uncertainty
(Burnham & Anderson 2002, 4.3.2; Patterson & Thompson 1971 for the likelihood). A component that comes out small is
therefore never dropped, and drift that cannot be told from placement is not taken for drift.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from panelwear.panel.showings import Showings, shared

Real = NDArray[np.float64]
Whole = NDArray[np.intp]

NONE = 0.0
"""Told from the others by the readings alone."""
DRIFTS = (NONE, 0.0007, 0.004, 0.015)
"""Scale of the drift, as ln: from none to 3 % over a segment."""
SLOW = (NONE, 0.0003, 0.0008, 0.002, 0.005)
"""Standard deviations of slow noise, as ln."""
TAUS_S = (12.0, 50.0, 200.0)
"""Time constants: shorter is as good as white noise, longer as good as drift."""
PLACEMENT_FACTORS = (0.5, 1.0, 2.0, 8.0)
"""Of the placement's standard deviation as it is known beforehand."""
WHITE = (0.0002, 0.0005, 0.0012, 0.003, 0.008)
"""Noise of one reading, tried where no showing holds two readings that could tell."""
QUIETEST = 1e-7
"""No reading is better than this, whatever a meter that rounds makes of it."""
RELAXATIONS = (0.1, 0.2, 0.4, 0.8)
"""Time constants of what is left of a warm-up, as shares of the segment's time."""
DEGREE = 4
_MOST = 16
"""Sets that are kept, and the share of the weight that is enough."""
_ENOUGH = 0.97


@dataclass(frozen=True, slots=True, eq=False)
class Shown:
    """What is estimated from: showings of patches that were shown more than once."""

    showings: Showings
    log_Y: Real
    """Mean of each showing."""
    level: Whole
    """Which (place, patch) it shows, from 0."""
    visit: Whole
    """During which placement, from 0."""
    within: float
    """Sum of squares inside the showings."""
    within_dof: int

    @property
    def from_first(self) -> Real:
        """The logarithms less that of the first showing: large common values would cost digits (NIST StRD, SmLs07)."""
        return np.asarray(self.log_Y - self.log_Y[0])


@dataclass(frozen=True, slots=True)
class Seat:
    """What is known beforehand of how well the probe finds its place again."""

    u: float
    """Standard deviation of one placement, as ln."""
    dof: float = 1.0
    """Degrees of freedom it rests on; one for a mere assumption."""

    def score(self, u: float) -> float:
        """Return -2 ln of how believable another value is beforehand (chi-squared law of a variance)."""
        ratio = (self.u / u) ** 2
        return self.dof * (ratio - 1 - math.log(ratio))


@dataclass(frozen=True, slots=True)
class Settings:
    """One set of standard deviations (as ln), and the time constant of slow noise."""

    drift: float
    slow: float
    tau_s: float
    placement: float
    white: float


@dataclass(frozen=True, slots=True, eq=False)
class Belief:
    """One set of values with what the readings make of it."""

    settings: Settings
    weight: float
    projector: Real
    """Inverse covariance with the levels taken out, ``(k, k)``."""


@dataclass(frozen=True, slots=True, eq=False)
class Clock:
    """Shapes a drift may have over a segment; held still beyond the showings it was estimated from."""

    start_s: float
    end_s: float
    centre: Real

    def basis(self, times_s: Real) -> Real:
        """Return every shape at some times, ``(n, shapes)``; each averages 0 over what it was estimated from."""
        return _basis(times_s, self.start_s, self.end_s) - self.centre


def clock_of(showings: Showings) -> Clock:
    """Return the shapes for a segment's showings."""
    start, end = float(showings.middle_s.min()), float(showings.middle_s.max())
    return Clock(start, end, showings.n @ _basis(showings.middle_s, start, end) / showings.n.sum())


def _basis(times_s: Real, start_s: float, end_s: float) -> Real:
    share = np.clip((times_s - start_s) / max(end_s - start_s, 1e-9), 0.0, 1.0)
    smooth = np.polynomial.legendre.legvander(2 * share - 1, DEGREE)[:, 1:] / np.arange(1, DEGREE + 1)
    settling = np.exp(-share[:, None] / np.array(RELAXATIONS)) / math.sqrt(len(RELAXATIONS))
    return np.asarray(np.hstack([smooth, settling]), dtype=np.float64)


def weigh(shown: Shown, seat: Seat) -> tuple[Belief, ...]:
    """Weigh every set of values by the readings, and keep those that count.

    Args:
        shown: at least one patch shown twice.
        seat: what is known of the placements beforehand.
    """
    clock, k = clock_of(shown.showings), len(shown.log_Y)
    basis = clock.basis(shown.showings.middle_s)
    drift = basis @ basis.T
    together = (shown.visit[:, None] == shown.visit).astype(np.float64)
    like = {tau: shared(shown.showings, shown.showings, tau) for tau in TAUS_S}
    inside = {tau: _inside(shown, tau) for tau in TAUS_S}
    sets = _sets(shown, seat.u, inside)
    of_drift = {scale: scale**2 * drift for scale in DRIFTS}
    of_slow = {(slow, tau): slow**2 * like[tau] for slow, tau in product(SLOW, TAUS_S)}
    of_seat = {u: u**2 * together for u in {s.placement for s in sets}}
    covariance = np.empty((len(sets), k, k))
    for i, s in enumerate(sets):
        np.add(of_drift[s.drift] + of_slow[s.slow, s.tau_s], of_seat[s.placement], out=covariance[i])
    white = np.array([s.white**2 for s in sets])
    covariance[:, range(k), range(k)] += white[:, None] / shown.showings.n
    scores = restricted_scores(covariance, shown)
    scores = scores + np.array([_within_score(shown, s, inside) + seat.score(s.placement) for s in sets])
    weights = np.exp(-(scores - scores.min()) / 2)
    kept = _heaviest(weights / weights.sum())
    total = float(weights[kept].sum())
    projectors = _projectors(covariance[kept], shown)
    return tuple(Belief(sets[i], float(weights[i]) / total, one) for i, one in zip(kept, projectors, strict=True))


def _heaviest(weights: Real) -> Whole:
    order = np.argsort(-weights, kind="stable")
    enough = int(np.searchsorted(np.cumsum(weights[order]), _ENOUGH)) + 1
    return order[: min(enough, _MOST)]


def _sets(shown: Shown, placement: float, inside: Mapping[float, float]) -> list[Settings]:
    seats = [placement * factor for factor in PLACEMENT_FACTORS] if len(np.unique(shown.visit)) > 1 else [placement]
    found = []
    wanders = [(slow, tau) for slow, tau in product(SLOW, TAUS_S) if slow > NONE or tau == TAUS_S[0]]
    for drift, (slow, tau), seat in product(DRIFTS, wanders, seats):
        if shown.within_dof:
            left = shown.within / shown.within_dof - slow**2 * inside[tau]
            whites: tuple[float, ...] = (math.sqrt(max(left, 0.04 * shown.within / shown.within_dof, QUIETEST**2)),)
        else:
            whites = WHITE
        found += [Settings(drift, slow, tau, seat, white) for white in whites]
    return found


def _inside(shown: Shown, tau_s: float) -> float:
    """Return how much of the slow noise's variance one degree of freedom inside a showing holds."""
    showings = shown.showings
    return float((showings.n * (1 - showings.own(tau_s))).sum()) / max(shown.within_dof, 1)


def _within_score(shown: Shown, settings: Settings, inside: Mapping[float, float]) -> float:
    if not shown.within_dof:
        return 0.0
    variance = settings.white**2 + settings.slow**2 * inside[settings.tau_s]
    return shown.within_dof * math.log(variance) + shown.within / variance


def restricted_scores(covariance: Real, shown: Shown) -> Real:
    """Return -2 ln of the restricted likelihood of each covariance, ``(sets, k, k)`` to ``(sets,)``."""
    from scipy.linalg.lapack import dpotrf, dtrtrs

    levels = _levels_of(shown)
    asked = np.column_stack([levels, shown.from_first])
    whitened = np.empty((len(covariance), *asked.shape))
    diagonal = np.empty(covariance.shape[:2])
    for i, one in enumerate(covariance):
        root, failed = dpotrf(one, lower=True, clean=False)
        if failed:
            raise np.linalg.LinAlgError("covariance is not positive definite")
        whitened[i] = dtrtrs(root, asked, lower=True)[0]
        diagonal[i] = root.diagonal()
    log_det = 2 * np.log(diagonal).sum(axis=1)
    seen, left = whitened[:, :, :-1], whitened[:, :, -1:]
    inner = np.swapaxes(seen, 1, 2) @ seen
    taken = np.swapaxes(seen, 1, 2) @ left
    misfit = (left**2).sum(axis=(1, 2)) - (taken * np.linalg.solve(inner, taken)).sum(axis=(1, 2))
    return np.asarray(log_det + np.linalg.slogdet(inner)[1] + misfit, dtype=np.float64)


def _projectors(covariance: Real, shown: Shown) -> Real:
    """Return the inverse of each covariance with the levels taken out, ``(sets, k, k)``."""
    levels = _levels_of(shown)
    inverse = np.linalg.inv(covariance)
    asked = inverse @ levels
    return np.asarray(inverse - asked @ np.linalg.solve(levels.T @ asked, np.swapaxes(asked, 1, 2)), dtype=np.float64)


def _levels_of(shown: Shown) -> Real:
    return np.eye(int(shown.level.max()) + 1)[shown.level]


def believed(beliefs: tuple[Belief, ...], shown: Shown, asked: Showings) -> tuple[Real, Real]:
    """Return drift with slow noise at some showings: mean ``(m,)`` and covariance ``(m, m)``, as ln."""
    clock = clock_of(shown.showings)
    here, there = clock.basis(shown.showings.middle_s), clock.basis(asked.middle_s)
    drift_cross, drift_own = there @ here.T, there @ there.T
    taus_s = {b.settings.tau_s for b in beliefs}
    pairs = {tau: (shared(asked, shown.showings, tau), shared(asked, asked, tau)) for tau in taus_s}
    weight = np.array([b.weight for b in beliefs])
    # What the readings do not tell of is added up over all beliefs first: it is the larger matrix.
    total = float(weight @ [b.settings.drift**2 for b in beliefs]) * drift_own
    for tau in taus_s:
        total += sum(b.weight * b.settings.slow**2 for b in beliefs if b.settings.tau_s == tau) * pairs[tau][1]
    means = np.empty((len(beliefs), len(asked)))
    for i, belief in enumerate(beliefs):
        s = belief.settings
        cross = s.drift**2 * drift_cross + s.slow**2 * pairs[s.tau_s][0]
        told = cross @ belief.projector
        means[i] = told @ shown.from_first
        total -= (belief.weight * told) @ cross.T
    mean = weight @ means
    apart = means - mean
    total += (weight[:, None] * apart).T @ apart
    return np.asarray(mean, dtype=np.float64), total
