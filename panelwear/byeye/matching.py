"""Matching by adjustment: the person turns a correction until the zone has just gone.

Starting alternately too bright and too dark, from a random place, the person stops as soon as the zone can no
longer be told from its surround. Coming from above, that is the upper border of what this eye cannot see, from
below the lower one: the middle between them is the match, half the distance this person's own threshold
(no model of vision enters). The bias controls are those published for brightness matching: both directions equally
often, random starts, at least six settings (Fotios, Lighting Research & Technology 2001-2008).

Over an unworn place lie shams, where there is nothing to match, and as many decoys, where a contrast is planted:
neither the place nor its outline tells whether something is to be found there, and before the answer both look alike.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from random import Random
from typing import Literal

from panelwear.errors import UsageError
from panelwear.uncertainty.coverage import t_factor

Side = Literal["bright", "dark"]
Kind = Literal["practice", "zone", "sham", "decoy"]
PLANTED = (0.01, 0.03)
"""Contrasts of decoys, either sign: those of wear that is plainly seen."""
LEAST_SETTINGS = 6


@dataclass(frozen=True, slots=True)
class MatchPlan:
    """How a matching is run; contrasts are Weber (0.01 is 1 %)."""

    settings: int = 8
    """Counted settings, half from too bright, half from too dark; even, at least 6."""
    start_offset: tuple[float, float] = (0.012, 0.035)
    """How far from the expected match a trial starts, at least and at most."""
    step: float = 0.002
    """One turn of the wheel or press of a key."""
    fine_step: float = 0.0005
    """The same with Shift."""
    coarse_step: float = 0.01
    limits: tuple[float, float] = (-0.15, 0.15)
    """What the correction can reach on this panel at this level."""
    with_shams: bool = True
    """Off where there is no unworn place of the zone's shape."""

    def __post_init__(self) -> None:
        if self.settings < LEAST_SETTINGS or self.settings % 2:
            raise UsageError(f"a matching needs an even number of settings, at least {LEAST_SETTINGS}")
        if not self.limits[0] < 0 < self.limits[1]:
            raise UsageError(
                "at this level the correction cannot go both ways: take a drive level from 1 to 250 for matching"
            )

    @property
    def shams(self) -> int:
        """How many sham trials are mixed in: as near to 17.5 % of all as whole numbers allow, at least one.

        There are as many decoys.
        """
        if not self.with_shams:
            return 0
        return min(range(1, self.settings), key=lambda n: abs(n / (2 * n + self.settings) - 0.175))


@dataclass(frozen=True, slots=True)
class MatchTrial:
    """One setting to be made."""

    number: int
    kind: Kind
    """``sham``: the correction lies over a place of the same shape where no wear is known, so its match is 0;
    ``decoy``: over the same place, with a contrast planted under it; it is not counted."""
    side: Side
    """Which side of the match it starts from."""
    start: float
    planted: float = 0.0
    """Contrast laid under a decoy's correction."""

    @property
    def aside(self) -> bool:
        """Whether it lies over the unworn place."""
        return self.kind in {"sham", "decoy"}


@dataclass(frozen=True, slots=True)
class MatchSetting:
    """One setting made."""

    trial: MatchTrial
    c: float


@dataclass(frozen=True, slots=True)
class AdjustmentResult:
    """What a matching found; contrasts are Weber numbers (0.01 is 1 %), the zone against its surround."""

    contrast: float
    """``C = -c / (1 + c)`` at the match: positive where the zone is brighter than its surround."""
    u: float
    """Standard error of ``contrast``, from the scatter of these settings within each direction."""
    dof: int
    low: float
    high: float
    """95 % t interval."""
    hysteresis: float
    """Mean setting from too bright minus mean setting from too dark."""
    own_threshold: float
    """Half of it: the least contrast this person could tell here; ``nan`` when the scatter is larger."""
    setting_spread: float
    """Standard deviation of one setting within a direction."""
    settings: tuple[float, ...]
    sham_settings: tuple[float, ...]
    sham_found: int
    """Sham trials where the setting lies further from 0 than scatter and threshold explain: guessing, or a
    place that is worn after all."""
    decoys: int = 0
    """Decoys set; not counted anywhere else."""


def contrast_of(c: float) -> float:
    """Return the zone's contrast when correction ``c`` matches it, ``(1 + C)(1 + c) = 1``; its own inverse."""
    return -c / (1 + c)


class Matching:
    """The state machine of one matching: fed with turns and settings, tells the correction to be shown.

    Deterministic from ``seed``. ``done`` is true when all trials are set; ``result`` then has the contrast.
    """

    def __init__(self, plan: MatchPlan, seed: int, expected: float = 0.0) -> None:
        """Begin; ``expected`` is the correction a measured or earlier contrast would need, where one is known."""
        self.plan = plan
        self._random = Random(seed)
        self._expected = expected
        self._kinds = self._order()
        self.settings: list[MatchSetting] = []
        self.trial = self._next_trial()
        self.c = self.trial.start
        self.turned = False
        """Whether this trial's correction was turned at all."""

    def _order(self) -> list[tuple[Kind, Side]]:
        first, second = self._random.sample(["bright", "dark"], 2)
        sides: list[Side] = [first if n % 2 == 0 else second for n in range(self.plan.settings)]  # type: ignore[misc]
        order: list[tuple[Kind, Side]] = [("zone", side) for side in sides]
        sham_sides: list[Side] = [first if n % 2 == 0 else second for n in range(self.plan.shams)]  # type: ignore[misc]
        kinds: tuple[Kind, Kind] = ("sham", "decoy")
        for kind in kinds:
            for side in sham_sides:
                # Never the first: the person must have seen the zone before a place without wear can fool anybody.
                order.insert(self._random.randint(1, len(order)), (kind, side))
        # The practice is not counted; it tells where about the match lies.
        return [("practice", second), *order]  # type: ignore[list-item]

    @property
    def trials(self) -> int:
        """All trials, practice and sham included."""
        return len(self._kinds)

    @property
    def done(self) -> bool:
        """Whether every trial is set."""
        return len(self.settings) == self.trials

    def _next_trial(self) -> MatchTrial:
        number = len(self.settings)
        kind, side = self._kinds[number]
        centre = self._expected
        known = [s.c for s in self.settings if not s.trial.aside]
        if kind in {"sham", "decoy"}:
            centre = 0.0
        elif known:
            # A centre must not depend on the direction last taken, so both directions weigh the same.
            halves = [[s.c for s in self.settings if s.trial.kind == "zone" and s.trial.side == w] for w in _SIDES]
            means = [sum(h) / len(h) for h in halves if h]
            centre = sum(means) / len(means) if len(means) == len(_SIDES) else sum(known) / len(known)
        offset = self._random.uniform(*self.plan.start_offset)
        start = centre + (offset if side == "bright" else -offset)
        planted = self._planted() if kind == "decoy" else 0.0
        return MatchTrial(number + 1, kind, side, self._turned_from(planted, self._clip(start)), planted)

    @staticmethod
    def _turned_from(planted: float, laid_on: float) -> float:
        """Return the correction that makes, with what is planted, all that is laid on the place."""
        return (1 + laid_on) / (1 + planted) - 1 if planted else laid_on

    def _planted(self) -> float:
        low, high = self.plan.limits
        room = min(1.0, min(-low, high) / 2 / PLANTED[1])
        return self._random.choice((-1, 1)) * self._random.uniform(*PLANTED) * room

    @property
    def seen(self) -> float:
        """What is to be laid on the place in all: the correction, and with a decoy what is planted under it."""
        planted = self.trial.planted
        return (1 + planted) * (1 + self.c) - 1 if planted else self.c

    def _clip(self, c: float) -> float:
        return min(max(c, self.plan.limits[0]), self.plan.limits[1])

    def turn(self, steps: int, size: Literal["step", "fine", "coarse"] = "step") -> float:
        """Turn the correction by so many steps (negative: darker) and return it."""
        width = {"step": self.plan.step, "fine": self.plan.fine_step, "coarse": self.plan.coarse_step}[size]
        # The panel's reach holds for all that is laid on, so that a decoy ends where a sham does.
        self.c += steps * width
        self.c = self._turned_from(self.trial.planted, self._clip(self.seen))
        self.turned = self.turned or steps != 0
        return self.c

    def accept(self) -> None:
        """Take the present correction as this trial's setting and go on to the next.

        Raises:
            UsageError: nothing has been turned yet (a start is no setting), or all trials are set.
        """
        if self.done:
            raise UsageError("all settings of this matching are made")
        if not self.turned:
            raise UsageError("adjust the zone until it has just gone, then press Return")
        self.settings.append(MatchSetting(self.trial, self.c))
        self.turned = False
        if not self.done:
            self.trial = self._next_trial()
            self.c = self.trial.start

    def undo(self) -> bool:
        """Take the last setting back and make it again; returns whether there was one."""
        if not self.settings:
            return False
        self.trial = self.settings.pop().trial
        self.c = self.trial.start
        self.turned = False
        return True

    def result(self) -> AdjustmentResult:
        """Return what was found so far.

        Raises:
            UsageError: fewer than two settings from each direction, so that nothing can be said.
        """
        zone = [s for s in self.settings if s.trial.kind == "zone"]
        sham = tuple(s.c for s in self.settings if s.trial.kind == "sham")
        result = analyse(
            tuple(s.c for s in zone if s.trial.side == "bright"),
            tuple(s.c for s in zone if s.trial.side == "dark"),
            sham,
            order=tuple(s.c for s in zone),
        )
        return replace(result, decoys=sum(s.trial.kind == "decoy" for s in self.settings))


_SIDES: tuple[Side, Side] = ("bright", "dark")


def analyse(
    bright: tuple[float, ...],
    dark: tuple[float, ...],
    sham: tuple[float, ...] = (),
    order: tuple[float, ...] = (),
) -> AdjustmentResult:
    """Turn settings (corrections, Weber) from both directions into a contrast with its t interval.

    The match is the mean of both directions' means; its standard error comes from the scatter pooled within the
    directions, ``n - 2`` degrees of freedom, so hysteresis does not pass for scatter.

    Raises:
        UsageError: fewer than two settings from a direction.
    """
    if min(len(bright), len(dark)) < 2:
        raise UsageError("at least two settings from too bright and two from too dark are needed for a result")
    up, down = sum(bright) / len(bright), sum(dark) / len(dark)
    squares = sum((c - up) ** 2 for c in bright) + sum((c - down) ** 2 for c in dark)
    dof = len(bright) + len(dark) - 2
    spread = math.sqrt(squares / dof)
    match = (up + down) / 2
    u_match = spread / 2 * math.sqrt(1 / len(bright) + 1 / len(dark))
    reach = t_factor(dof) * u_match
    hysteresis = up - down
    threshold = hysteresis / 2 if hysteresis / 2 > u_match else math.nan
    blur = 2 * spread + (0.0 if math.isnan(threshold) else threshold)
    return AdjustmentResult(
        contrast=contrast_of(match),
        u=u_match / (1 + match) ** 2,
        dof=dof,
        low=contrast_of(match + reach),
        high=contrast_of(match - reach),
        hysteresis=hysteresis,
        own_threshold=threshold,
        setting_spread=spread,
        settings=order or (*bright, *dark),
        sham_settings=sham,
        sham_found=sum(abs(c) > blur for c in sham),
    )
