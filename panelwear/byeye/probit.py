"""Fit of a cumulative normal to yes-no answers by maximum likelihood, with standard errors.

``P(yes | x) = lapse / 2 + (1 - lapse) Φ((x - mean) / spread)``; Fisher scoring, standard errors from the expected
information (Finney, Probit Analysis). A weak prior on the spread keeps few or fully separated answers finite.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.errors import UsageError


@dataclass(frozen=True, slots=True)
class ProbitFit:
    """Mean (50 % point) and spread in the unit of the levels, each with its standard error."""

    mean: float
    u_mean: float
    spread: float
    u_spread: float


@dataclass(frozen=True, slots=True)
class SpreadPrior:
    """What is known of the spread before: ln(spread) is normal about ln(``typical``)."""

    typical: float
    log_sd: float = 1.0


def _state(
    x: NDArray[np.float64], mean: float, log_spread: float, lapse: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return P(yes) and its derivatives by mean and by ln(spread), ``(n,)`` and ``(n, 2)``."""
    from scipy.special import ndtr

    spread = math.exp(log_spread)
    z = (x - mean) / spread
    density = np.exp(-0.5 * z**2) / math.sqrt(2 * math.pi)
    p = lapse / 2 + (1 - lapse) * ndtr(z)
    slope = (1 - lapse) * np.column_stack([-density / spread, -density * z])
    return np.clip(p, 1e-9, 1 - 1e-9), slope


def fit_probit(
    levels: Sequence[float],
    yes: Sequence[float],
    of: Sequence[float] | None = None,
    *,
    lapse: float = 0.0,
    prior: SpreadPrior | None = None,
) -> ProbitFit:
    """Fit ``yes`` answers out of ``of`` (1 each when left out) at ``levels``; all of length n.

    Raises:
        UsageError: no answers, or every answer the same and no prior to hold the fit.
    """
    x = np.asarray(levels, dtype=np.float64)
    k = np.asarray(yes, dtype=np.float64)
    n = np.ones_like(x) if of is None else np.asarray(of, dtype=np.float64)
    if len(x) == 0 or (prior is None and k.sum() in {0.0, n.sum()}):
        raise UsageError("answers of both kinds are needed before a point of equality can be fitted")
    typical = prior.typical if prior else max(float(np.std(x)), 1e-9)
    theta = np.array([float(np.average(x, weights=n)), math.log(typical)])
    information = np.eye(2)
    old = -math.inf

    def score(at: NDArray[np.float64]) -> float:
        p, _ = _state(x, float(at[0]), float(at[1]), lapse)
        value = float((k * np.log(p) + (n - k) * np.log(1 - p)).sum())
        return value - (0.5 * ((at[1] - math.log(prior.typical)) / prior.log_sd) ** 2 if prior else 0.0)

    for _ in range(200):
        p, slope = _state(x, float(theta[0]), float(theta[1]), lapse)
        weight = n / (p * (1 - p))
        information = (slope * weight[:, None]).T @ slope
        gradient = slope.T @ ((k - n * p) / (p * (1 - p)))
        if prior:
            information[1, 1] += 1 / prior.log_sd**2
            gradient[1] -= (theta[1] - math.log(prior.typical)) / prior.log_sd**2
        step = np.linalg.lstsq(information, gradient, rcond=1e-12)[0]
        step = np.clip(step, [-5 * math.exp(theta[1]), -1.0], [5 * math.exp(theta[1]), 1.0])
        here = score(theta)
        scale = 1.0
        while scale > 1e-4 and score(theta + scale * step) < here:
            scale /= 2
        theta = theta + scale * step
        new = score(theta)
        if abs(new - old) < 1e-12 * max(1.0, abs(new)):
            break
        old = new
    covariance = np.linalg.pinv(information)
    spread = math.exp(theta[1])
    return ProbitFit(
        float(theta[0]),
        math.sqrt(max(0.0, float(covariance[0, 0]))),
        spread,
        spread * math.sqrt(max(0.0, float(covariance[1, 1]))),
    )


def average_probit(
    levels: Sequence[float],
    yes: Sequence[float],
    *,
    lapse: float,
    prior: SpreadPrior,
    around: float,
    reach: float,
) -> ProbitFit:
    """Average over mean and spread with the weight the answers give them, instead of taking the best fit.

    With a few dozen answers the best-fitting spread is too small on average, and the standard error of the mean with
    it; weighing all spreads (a grid, prior on ln(spread), flat in the mean over ``around`` ± ``reach``) is not.
    """
    from scipy.special import ndtr

    x = np.asarray(levels, dtype=np.float64)
    k = np.asarray(yes, dtype=np.float64)
    means = np.linspace(around - reach, around + reach, 161)
    logs = math.log(prior.typical) + prior.log_sd * np.linspace(-2.5, 2.5, 17)
    z = (x - means[:, None, None]) / np.exp(logs)[None, :, None]
    p = lapse / 2 + (1 - lapse) * ndtr(z)
    log_likelihood = (k * np.log(p) + (1 - k) * np.log1p(-p)).sum(axis=2)
    log_likelihood -= 0.5 * ((logs - math.log(prior.typical)) / prior.log_sd) ** 2
    weight = np.exp(log_likelihood - log_likelihood.max())
    weight /= weight.sum()
    of_mean, of_log = weight.sum(axis=1), weight.sum(axis=0)
    mean = float(of_mean @ means)
    spreads = np.exp(logs)
    spread = float(of_log @ spreads)
    return ProbitFit(
        mean,
        math.sqrt(float(of_mean @ (means - mean) ** 2)),
        spread,
        math.sqrt(float(of_log @ (spreads - spread) ** 2)),
    )
