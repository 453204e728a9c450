"""Detection threshold by two-alternative forced choice: Bayesian placement of each trial.

After Watson & Pelli, Perception & Psychophysics 33 (1983) 113: a grid over log10 threshold, a normal prior, a Weibull
psychometric function ``P = g + (1 - g - l)(1 - exp(-10^(b (x - T))))``; the next trial stands at the posterior mean;
reported are posterior mean and standard deviation. ``T`` is the contrast seen rightly in about 81 % of trials.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random

import numpy as np
from numpy.typing import NDArray

from panelwear.errors import UsageError


@dataclass(frozen=True, slots=True)
class QuestPlan:
    """How a detection threshold is sought; contrasts are Weber numbers, spreads in log10 units."""

    guess: float = 0.008
    """Expected threshold."""
    guess_sd: float = 0.4
    slope: float = 3.5
    chance: float = 0.5
    lapse: float = 0.01
    stop_sd: float = 0.05
    least_trials: int = 15
    most_trials: int = 60
    largest: float = 0.12
    """Largest contrast the panel can be given here."""


@dataclass(frozen=True, slots=True)
class QuestResult:
    """The threshold found: contrast, spread in log10 units, and the 95 % range as contrasts."""

    threshold: float
    sd_log10: float
    low: float
    high: float
    trials: int


class Quest:
    """The state machine: show ``contrast`` on ``side``, call ``answer(right)``."""

    def __init__(self, plan: QuestPlan, seed: int) -> None:
        self.plan = plan
        self._random = Random(seed)
        centre = math.log10(plan.guess)
        self.grid: NDArray[np.float64] = np.linspace(centre - 2, centre + 2, 1601)
        self._log_posterior = -0.5 * ((self.grid - centre) / plan.guess_sd) ** 2
        self.trials: list[tuple[float, bool]] = []
        self.side = self._random.choice(("left", "right"))

    def probability(
        self, x: float | NDArray[np.float64], threshold: float | NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """Return P(right) at log10 contrast ``x`` for log10 threshold(s)."""
        plan = self.plan
        seen = 1 - np.exp(-(10.0 ** (plan.slope * (np.asarray(x) - np.asarray(threshold)))))
        return np.asarray(plan.chance + (1 - plan.chance - plan.lapse) * seen)

    def _posterior(self) -> NDArray[np.float64]:
        weight = np.exp(self._log_posterior - self._log_posterior.max())
        return np.asarray(weight / weight.sum())

    @property
    def mean_log10(self) -> float:
        """Posterior mean of log10 threshold."""
        return float(self._posterior() @ self.grid)

    @property
    def sd_log10(self) -> float:
        """Posterior standard deviation in log10 units."""
        weight = self._posterior()
        mean = float(weight @ self.grid)
        return math.sqrt(float(weight @ (self.grid - mean) ** 2))

    @property
    def contrast(self) -> float:
        """Contrast to be shown now."""
        return float(min(10**self.mean_log10, self.plan.largest))

    @property
    def done(self) -> bool:
        """Whether the threshold is known well enough, or the last trial is over."""
        count = len(self.trials)
        return count >= self.plan.most_trials or (
            count >= self.plan.least_trials and self.sd_log10 <= self.plan.stop_sd
        )

    def answer(self, right: bool) -> None:
        """Record one answer to the present contrast.

        Raises:
            UsageError: the run has ended.
        """
        if self.done:
            raise UsageError("the detection threshold is found")
        shown = self.contrast
        p = self.probability(math.log10(shown), self.grid)
        self._log_posterior = self._log_posterior + np.log(p if right else 1 - p)
        self.trials.append((shown, right))
        self.side = self._random.choice(("left", "right"))

    def result(self) -> QuestResult:
        """Return the threshold found so far."""
        mean, sd = self.mean_log10, self.sd_log10
        return QuestResult(10**mean, sd, 10 ** (mean - 1.96 * sd), 10 ** (mean + 1.96 * sd), len(self.trials))
