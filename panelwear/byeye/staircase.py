"""Up-down rules of psychophysics: one track whose level goes down after right answers and up after wrong ones.

Sources: Levitt, J. Acoust. Soc. Am. 49 (1971) 467 (transformed rules); Kaernbach, Perception & Psychophysics 49 (1991)
227 (weighted rules); García-Pérez, Vision Research 38 (1998) 1861 (fixed steps of unequal size).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

GARCIA_PEREZ: dict[int, tuple[float, float]] = {
    1: (0.2845, 0.7785),
    2: (0.5488, 0.8035),
    3: (0.7393, 0.8315),
    4: (0.8415, 0.8584),
}
"""Answers down in a row: (step down over step up, proportion right it converges on), with fixed steps."""


def levitt_target(n_down: int) -> float:
    """Return the proportion of right answers an n-down-1-up rule aims at: ``0.5 ** (1 / n)``."""
    return float(0.5 ** (1 / n_down))


def kaernbach_ratio(p: float) -> float:
    """Return step up over step down of a weighted 1-down-1-up rule that aims at proportion ``p``."""
    return p / (1 - p)


@dataclass(frozen=True, slots=True)
class Rule:
    """How a track moves; steps in whatever unit the level has."""

    step_down: float
    step_up: float
    n_down: int = 1
    first_factor: float = 1.0
    """Steps begin so many times larger and are halved at each reversal until they have their size."""

    @classmethod
    def weighted(cls, p: float, step_down: float) -> Rule:
        """Make Kaernbach's weighted rule for proportion ``p``."""
        return cls(step_down, step_down * kaernbach_ratio(p))

    @classmethod
    def unequal(cls, n_down: int, step_up: float) -> Rule:
        """Make an n-down-1-up rule with García-Pérez's steps, whose convergence does not depend on their size."""
        return cls(step_up * GARCIA_PEREZ[n_down][0], step_up, n_down)


class Track:
    """One track of trials; ``level`` is what to present next."""

    def __init__(self, rule: Rule, start: float) -> None:
        self.rule = rule
        self.level = start
        self.levels: list[float] = []
        self.answers: list[bool] = []
        self.reversals: list[float] = []
        self._in_row = 0
        self._direction = 0
        self._factor = rule.first_factor

    def answer(self, right: bool) -> float:
        """Record an answer at the present level and return the next level."""
        self.levels.append(self.level)
        self.answers.append(right)
        if right:
            self._in_row += 1
            if self._in_row < self.rule.n_down:
                return self.level
            self._move(-1, self.rule.step_down)
        else:
            self._move(+1, self.rule.step_up)
        self._in_row = 0
        return self.level

    def _move(self, direction: int, step: float) -> None:
        if self._direction and direction != self._direction:
            self.reversals.append(self.level)
            self._factor = max(1.0, self._factor / 2)
        self._direction = direction
        self.level += direction * step * self._factor

    def mean_of_reversals(self, skip: int = 2) -> float:
        """Return the mean level at the reversals after the first ``skip``, an even number of them; ``nan`` if none."""
        kept = self.reversals[skip:]
        if len(kept) % 2:
            kept = kept[1:]
        return sum(kept) / len(kept) if kept else math.nan
