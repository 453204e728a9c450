"""Forced choice of the match: "is the zone brighter or darker than its surround?".

Two interleaved 1-up-1-down tracks, one from each side, keep the trials where they tell most; a probit fit to all
answers gives the point of equality with its standard error. The standard error of N answers cannot be below
``1.2533 spread / sqrt(N)``.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log
from random import Random
from statistics import NormalDist
from typing import Literal

from panelwear.byeye.matching import contrast_of
from panelwear.byeye.probit import ProbitFit, SpreadPrior, average_probit, fit_probit
from panelwear.errors import UsageError
from panelwear.uncertainty.coverage import t_factor

Kind = Literal["zone", "sham", "decoy"]
BLOCK: tuple[Kind, ...] = ("zone", "zone", "sham", "decoy", "zone", "zone")
"""One trial in six is a sham, one a decoy; a block's last two are neither: so the share holds at any stop."""
ASSUMED_LAPSE = 0.02
HASTY_S = 0.4
"""Nobody has looked at a picture and told brighter from darker in less; keys that are mashed come sooner."""
MOST_HASTY_SHARE = 1 / 3
LEAST_ORDER = 7.0
"""Twice the gain in log likelihood of the fitted eye over a coin of the same bias. Of 120 simulated runs of a coin 95 %
stay below; of 360 of observers with spreads of 0.3 to 1 % every full run lies above."""


@dataclass(frozen=True, slots=True)
class ChoicePlan:
    """How a forced choice is run; contrasts are Weber numbers."""

    start: float = 0.02
    """How far from the expected match each track starts."""
    step: float = 0.006
    first_factor: float = 2.0
    stop_u: float = 0.0015
    """Stop when the standard error of the point of equality is this small, but not before ``least_trials``."""
    least_trials: int = 20
    most_trials: int = 60
    typical_spread: float = 0.005
    limits: tuple[float, float] = (-0.15, 0.15)
    shams: bool = True


@dataclass(frozen=True, slots=True)
class ChoiceResult:
    """What the answers say; contrast positive where the zone is brighter."""

    contrast: float
    u: float
    low: float
    high: float
    """95 % interval (t with trials - 2 degrees of freedom)."""
    dof: int
    spread: float
    """Spread of the person's own psychometric function: one just noticeable step."""
    trials: int
    sham_trials: int
    sham_brighter: int
    """How often a correction of 0 over an unworn place was called brighter: about half without a habit."""
    decoys: int = 0
    """Answers over the unworn place with a contrast laid on; not counted anywhere else."""


@dataclass(frozen=True, slots=True)
class UpDownRule:
    """How a track moves; steps in whatever unit the level has."""

    step_down: float
    step_up: float
    n_down: int = 1
    """So many right answers in a row go one step down."""
    first_factor: float = 1.0
    """Steps begin so many times larger and are halved at each reversal until they have their size."""


class Track:
    """One track of trials, down after right answers and up after wrong ones; ``level`` is what to present next.

    Levitt, J. Acoust. Soc. Am. 49 (1971) 467. A forced choice uses it 1-up-1-down, so that it settles at 50 %.
    """

    def __init__(self, rule: UpDownRule, start: float) -> None:
        self.rule = rule
        self.level = start
        self.levels: list[float] = []
        self.reversals: list[float] = []
        self._in_row = 0
        self._direction = 0
        self._factor = rule.first_factor

    def answer(self, right: bool) -> float:
        """Record an answer at the present level and return the next level."""
        self.levels.append(self.level)
        self._in_row = self._in_row + 1 if right else 0
        if not right:
            self._move(+1, self.rule.step_up)
        elif self._in_row == self.rule.n_down:
            self._in_row = 0
            self._move(-1, self.rule.step_down)
        return self.level

    def _move(self, direction: int, step: float) -> None:
        if self._direction and direction != self._direction:
            self.reversals.append(self.level)
            self._factor = max(1.0, self._factor / 2)
        self._direction = direction
        self.level += direction * step * self._factor


class PairChoice:
    """The state machine: ``c`` is the correction to be shown, ``answer(brighter)`` goes on."""

    def __init__(self, plan: ChoicePlan, seed: int, expected: float = 0.0) -> None:
        self.plan = plan
        self._random = Random(seed)
        rule = UpDownRule(plan.step, plan.step, first_factor=plan.first_factor)
        # A jitter of the starting points, so that no two runs ask at the same few contrasts.
        jitter = [self._random.uniform(-plan.step, plan.step) for _ in range(2)]
        self.tracks = (
            Track(rule, self._clip(expected + plan.start + jitter[0])),
            Track(rule, self._clip(expected - plan.start + jitter[1])),
        )
        self.shown: list[float] = []
        self.brighter: list[bool] = []
        self.sham_answers: list[bool] = []
        self.hasty = 0
        """How many answers came sooner than a person can have looked."""
        self.answers = 0
        self._fit: ProbitFit | None = None
        self._turn = 0
        self.decoys = 0
        self.kind: Kind = "zone"
        self._decoy = 0.0
        self._block: list[Kind] = []
        self._draw()

    def _clip(self, c: float) -> float:
        return min(max(c, self.plan.limits[0]), self.plan.limits[1])

    def _draw(self) -> None:
        self.kind = self._next_kind()
        if self.kind == "decoy":
            self._decoy = self._random.choice((-1, 1)) * self._random.uniform(self.plan.step / 4, self.plan.start)
        # Tracks take turns in pairs of random order: never more than two in a row of the same one.
        if self.kind == "zone" and len(self.shown) % 2 == 0:
            self._turn = self._random.randint(0, 1)

    def _next_kind(self) -> Kind:
        if not self.plan.shams:
            return "zone"
        if not self._block:
            begun = bool(self.shown)
            mixed = list(BLOCK[:-2] if begun else BLOCK[1:-2])
            self._random.shuffle(mixed)
            # The very first is the zone: it must have been seen before a place without wear can fool anybody.
            self._block = [*([] if begun else BLOCK[:1]), *mixed, *BLOCK[-2:]]
        return self._block.pop(0)

    @property
    def sham(self) -> bool:
        """Whether nothing is laid on, over the unworn place."""
        return self.kind == "sham"

    @property
    def aside(self) -> bool:
        """Whether this trial lies over the unworn place: a sham, or a decoy, where a contrast is laid on."""
        return self.kind != "zone"

    @property
    def track(self) -> Track:
        """The track whose turn it is."""
        return self.tracks[(self._turn + len(self.shown)) % 2]

    @property
    def c(self) -> float:
        """Correction to be shown now, over the zone or over the unworn place; 0 in a sham."""
        if self.kind == "zone":
            return self._clip(self.track.level)
        return self._clip(self._decoy) if self.kind == "decoy" else 0.0

    @property
    def done(self) -> bool:
        """Whether the wanted standard error, or the last trial, is reached."""
        if len(self.shown) >= self.plan.most_trials:
            return True
        if len(self.shown) < self.plan.least_trials or self._fit is None:
            return False
        return self._fit.u_mean <= self.plan.stop_u

    def answer(self, brighter: bool, after_s: float | None = None) -> None:
        """Record one answer, given ``after_s`` seconds after the picture was on where that is known.

        Raises:
            UsageError: the run has ended.
        """
        if self.done:
            raise UsageError("this forced choice has ended")
        self.answers += 1
        self.hasty += after_s is not None and after_s < HASTY_S
        if self.sham:
            self.sham_answers.append(brighter)
        elif self.kind == "decoy":
            self.decoys += 1
        else:
            track = self.track
            self.shown.append(self._clip(track.level))
            self.brighter.append(brighter)
            track.answer(brighter)
            track.level = self._clip(track.level)
            if len(self.shown) >= self.plan.least_trials:
                self._fit = self._fitted()
        self._draw()

    def _fitted(self) -> ProbitFit:
        answers = [float(b) for b in self.brighter]
        prior = SpreadPrior(self.plan.typical_spread, log_sd=0.8)
        best = fit_probit(self.shown, answers, lapse=ASSUMED_LAPSE, prior=prior)
        reach = max(8 * best.u_mean, 4 * best.spread)
        return average_probit(self.shown, answers, lapse=ASSUMED_LAPSE, prior=prior, around=best.mean, reach=reach)

    def _order(self, fit: ProbitFit) -> float:
        """Return how much better the fitted eye tells the answers than a coin of the same bias does."""

        def told(p: float, brighter: bool) -> float:
            return log(min(max(p if brighter else 1 - p, 1e-9), 1.0))

        eye = NormalDist(fit.mean, fit.spread)
        share = sum(self.brighter) / len(self.brighter)
        gain = 0.0
        for x, brighter in zip(self.shown, self.brighter, strict=True):
            p = ASSUMED_LAPSE / 2 + (1 - ASSUMED_LAPSE) * eye.cdf(x)
            gain += told(p, brighter) - told(share, brighter)
        return 2 * gain

    def result(self) -> ChoiceResult:
        """Return the contrast.

        Raises:
            UsageError: fewer than eight answers, or answers that are no judgement of what was shown.
        """
        if len(self.shown) < 8:
            raise UsageError("at least eight answers are needed for a result by forced choice")
        if self.hasty > MOST_HASTY_SHARE * self.answers:
            raise UsageError(
                f"{self.hasty} of {self.answers} answers came within {HASTY_S:g} s of the picture, "
                "faster than anybody looks"
            )
        fit = self._fitted()
        if self._order(fit) < LEAST_ORDER:
            raise UsageError("the answers follow no order: they are as good as chance")
        dof = len(self.shown) - 2
        reach = t_factor(dof) * fit.u_mean
        return ChoiceResult(
            contrast=contrast_of(fit.mean),
            u=fit.u_mean / (1 + fit.mean) ** 2,
            low=contrast_of(fit.mean + reach),
            high=contrast_of(fit.mean - reach),
            dof=dof,
            spread=fit.spread,
            trials=len(self.shown),
            sham_trials=len(self.sham_answers),
            sham_brighter=sum(self.sham_answers),
            decoys=self.decoys,
        )
