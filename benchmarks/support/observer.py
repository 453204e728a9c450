"""A simulated observer: drives the same state machines as a person, with known truth behind it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from random import Random

from panelwear.byeye.forced_choice import PairChoice
from panelwear.byeye.matching import Matching
from panelwear.byeye.quest import Quest

TURN_LIMIT = 2000


def normal_cdf(z: float) -> float:
    """Return the standard normal distribution function."""
    return 0.5 * math.erfc(-z / math.sqrt(2))


def least_standard_error(spread: float, trials: int) -> float:
    """Return the bound ``1.2533 spread / sqrt(N)``: every answer given exactly at the point of equality."""
    return math.sqrt(math.pi / 2) * spread / math.sqrt(trials)


@dataclass(slots=True)
class Observer:
    """An eye with a psychometric function, a bias, lapses and a spread of settings; contrasts are Weber numbers.

    All numbers are invented for simulation; the orders of magnitude are those of careful observers on flat fields.
    """

    seed: int
    spread: float = 0.005
    """Standard deviation of the psychometric function "brighter or darker"."""
    setting_spread: float = 0.005
    """Standard deviation of one setting by adjustment."""
    own_threshold: float = 0.004
    """Largest contrast that has just gone."""
    bias: float = 0.0
    """Added to every contrast that is seen (a zone at one's left may look brighter)."""
    lapse: float = 0.02
    """Share of answers given at random in forced choice."""
    detection_threshold: float = 0.006
    """Weibull threshold of detection in two-alternative forced choice (about 81 % right)."""
    slope: float = 3.5
    """Weibull slope against log10 contrast."""
    _random: Random = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self._random = Random(self.seed)

    def brighter(self, residual: float) -> bool:
        """Answer "is the zone brighter than its surround?" for a contrast really on the screen."""
        if self._random.random() < self.lapse:
            return self._random.random() < 0.5
        return self._random.random() < normal_cdf((residual + self.bias) / self.spread)

    def sees(self, contrast: float) -> bool:
        """Answer a two-alternative detection trial rightly or wrongly."""
        if self._random.random() < self.lapse:
            return self._random.random() < 0.5
        missed = math.exp(-((abs(contrast) / self.detection_threshold) ** self.slope))
        return self._random.random() < 1 - 0.5 * missed

    def set_match(self, matching: Matching, contrast: float) -> None:
        """Make one setting: turn towards the match until the zone has just gone, then accept.

        ``contrast`` is the zone's true contrast; over the unworn place lies what the trial planted.
        """
        true = matching.trial.planted if matching.trial.aside else contrast
        noise = self._random.gauss(0.0, self.setting_spread)
        turned = 0
        while turned < TURN_LIMIT:
            seen = (1 + true) * (1 + matching.c) - 1 + self.bias + noise
            if abs(seen) <= self.own_threshold and turned:
                break
            before = matching.c
            matching.turn(-1 if seen > 0 else 1)
            turned += 1
            after = (1 + true) * (1 + matching.c) - 1 + self.bias + noise
            # Without a threshold a step may jump over the match; then the nearer of the two is taken.
            if before == matching.c or (seen > 0) != (after > 0):
                break
        matching.accept()

    def run_matching(self, matching: Matching, contrast: float) -> None:
        """Make every setting of a matching."""
        while not matching.done:
            self.set_match(matching, contrast)

    def run_choice(self, choice: PairChoice, contrast: float) -> None:
        """Answer forced choices until they stop."""
        while not choice.done:
            true = 0.0 if choice.aside else contrast
            choice.answer(self.brighter((1 + true) * (1 + choice.c) - 1))

    def run_quest(self, quest: Quest) -> None:
        """Answer detection trials until the threshold is known well enough."""
        while not quest.done:
            quest.answer(self.sees(quest.contrast))
