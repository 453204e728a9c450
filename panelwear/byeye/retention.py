"""Retention or burn-in? A zone matched again while the panel rests, extrapolated to the end.

Short-lived ghosts fade in minutes to hours (charge that is let go); wear stays. Fitted is
``C(t) = lasting + passing exp(-t / tau)``. Four points cannot hold ``tau``, so it is not held: the fit is averaged
over all plausible ``tau``, each with its weight, and the uncertainty about it enters the uncertainty.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from panelwear.errors import UsageError
from panelwear.telling.words import true_minus

Verdict = Literal["lasting", "passing", "mixed", "undecided", "nothing seen"]

TAU_MINUTES = (3.0, 180.0)
"""Plausible range of the decay (log-uniform): faster is over before the second look, slower is wear tonight."""
PRIOR_CONTRAST = 0.05
"""Standard deviation of what wear and retention may be before anything is known."""
COVERAGE = 2.0
STAYS = 0.8
GOES = 0.35
HALF = 0.5
NEGLIGIBLE = 0.2
"""Shares of the first contrast: what may stay of a ghost that is called passing, seen to stay or only not excluded."""


@dataclass(frozen=True, slots=True)
class RestedContrast:
    """The zone's contrast after so many minutes of rest."""

    minutes: float
    contrast: float
    u: float


@dataclass(frozen=True, slots=True)
class Extrapolation:
    """What stays, what passes, and how sure that is; contrasts are Weber numbers."""

    lasting: float
    u_lasting: float
    passing: float
    u_passing: float
    tau_minutes: float
    """Weighted median of the decay; wide by nature."""
    tau_low: float
    tau_high: float
    """5 % and 95 % of its weight."""
    verdict: Verdict
    sentence: str


def extrapolate(looks: Sequence[RestedContrast]) -> Extrapolation:
    """Extrapolate repeated looks at one zone.

    Args:
        looks: at least three, in order of time, each with a standard uncertainty above 0.

    Raises:
        UsageError: too few looks, or an uncertainty of 0.
    """
    if len(looks) < 3:
        raise UsageError("at least three looks (0, 15 and 30 min) are needed to tell retention from burn-in")
    if any(look.u <= 0 for look in looks):
        raise UsageError("a look without uncertainty cannot be weighed")
    t = np.array([look.minutes for look in looks])
    c = np.array([look.contrast for look in looks])
    noise = np.diag([look.u**2 for look in looks])
    taus = np.geomspace(*TAU_MINUTES, 60)
    prior = PRIOR_CONTRAST**2 * np.eye(2)
    logs, means, covariances = [], [], []
    for tau in taus:
        design = np.column_stack([np.ones_like(t), np.exp(-t / tau)])
        total = design @ prior @ design.T + noise
        gain = prior @ design.T @ np.linalg.inv(total)
        means.append(gain @ c)
        covariances.append(prior - gain @ design @ prior)
        sign, logdet = np.linalg.slogdet(total)
        logs.append(-0.5 * (float(c @ np.linalg.solve(total, c)) + float(sign * logdet)))
    weight = np.exp(np.array(logs) - max(logs))
    weight /= weight.sum()
    mean = np.array(means)
    average = weight @ mean
    within = weight @ np.array([np.diag(k) for k in covariances])
    between = weight @ (mean - average) ** 2
    u = np.sqrt(within + between)
    at = np.interp([0.05, 0.5, 0.95], np.cumsum(weight), taus)
    verdict = _verdict(looks, float(average[0]), float(u[0]), float(average[1]), float(u[1]))
    return Extrapolation(
        lasting=float(average[0]),
        u_lasting=float(u[0]),
        passing=float(average[1]),
        u_passing=float(u[1]),
        tau_minutes=float(at[1]),
        tau_low=float(at[0]),
        tau_high=float(at[2]),
        verdict=verdict,
        sentence=_sentence(verdict, looks, float(average[0]), float(u[0])),
    )


def _verdict(
    looks: Sequence[RestedContrast], lasting: float, u_lasting: float, passing: float, u_passing: float
) -> Verdict:
    first, last = looks[0], looks[-1]
    if abs(first.contrast) <= COVERAGE * first.u:
        return "nothing seen"
    share = last.contrast / first.contrast
    u_share = math.hypot(last.u, share * first.u) / abs(first.contrast)
    stays = abs(lasting) > COVERAGE * u_lasting and lasting * first.contrast > 0
    goes = abs(passing) > COVERAGE * u_passing and passing * first.contrast > 0
    if stays and share > STAYS and not goes:
        return "lasting"
    faded = share + COVERAGE * u_share < STAYS and share < GOES
    # Seeing nothing certain at the end is no proof that nothing stays: the bound itself must be small.
    most = abs(lasting) + COVERAGE * u_lasting
    if faded and most < (NEGLIGIBLE if stays else HALF) * abs(first.contrast):
        return "passing"
    if stays and (goes or share + COVERAGE * u_share < STAYS):
        return "mixed"
    return "undecided"


def _signed(share: float) -> str:
    return f"{true_minus(f'{100 * share:+.2f}')} %"


def _sentence(verdict: Verdict, looks: Sequence[RestedContrast], lasting: float, u: float) -> str:
    first, last = looks[0], looks[-1]
    seen = f"{_signed(first.contrast)} at first, {_signed(last.contrast)} after {last.minutes:g} min"
    ends = f"expected to stay: {_signed(lasting)} ± {100 * COVERAGE * u:.2f} % (95 %)"
    meaning = {
        "lasting": "Lasting: the zone did not fade, so this is wear",
        "passing": "Passing: the zone faded while the panel rested, so this is retention",
        "mixed": "Mixed: part of the contrast faded and part stays",
        "undecided": "Undecided: these settings cannot tell wear from retention",
        "nothing seen": "Nothing seen: the first contrast is not larger than its own uncertainty",
    }[verdict]
    return f"{meaning} ({seen}; {ends}). Look again tomorrow to confirm."
