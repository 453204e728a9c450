"""Plausible courses of wear: which share of what was lost so far is lost by some hours, under each law.

No law is known to hold for a panel, so a forecast is made under all of them and its limits are the widest that the
checkpoints allow. Every course is 0 at the baseline and 1 at the newest checkpoint; beyond it may go on in any of the
ways these laws go on: none speeds up beyond what was seen of it, save for an exponent of up to 1.1.

Stretched exponential: Fery et al., Appl. Phys. Lett. 87 (2005), 213502. Linear in light, power of time, and two phases
(a bend, then straight on): common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]

LIKELY_B, LIKELY_B_U = 0.75, 0.15
"""Exponent b of exp(-(h / tau)^b) expected beforehand, and its standard deviation: what published lifetimes of emitters
give (0.60 to 0.98, from LT90 and LT50 of blue devices, Nat. Commun. 2023, s41467-023-43840-9, table 3; green 0.63)."""
LEAST_B, MOST_B = 0.4, 1.1
STRETCHED = np.linspace(LEAST_B, MOST_B, 57)
"""Exponents b that are tried."""
POWER = np.geomspace(0.05, 20, 24)
"""tau of (1 + h / tau)^-p, as a share of the newest checkpoint's hours."""
BENDS = np.linspace(0.1, 0.6, 6)
"""Where the second phase may begin, as a share of the span seen; later there are too few checkpoints to tell it by."""
FIRST_PHASE = np.linspace(0.0, 0.95, 20)
"""Share of the loss that the first phase may hold; 0: nothing happened before the bend."""
SPANS_ON = np.concatenate([np.linspace(0.02, 1, 50), np.geomspace(1, 300, 320)[1:]])
"""Hours that are tried for a threshold, in spans from the baseline; what is reached later counts as never."""


@dataclass(frozen=True, slots=True, eq=False)
class Law:
    """One family of courses."""

    name: str
    course: Callable[[Real, float, float], Real]
    """From hours ``(n,)``, hours of the baseline and of the newest checkpoint to shares ``(s, n)``, one a shape."""
    in_logs: bool
    """Whether the share is one of ln L; else of L itself."""
    unlikely: Real
    """What speaks against each shape beforehand, as a χ² ``(s,)``."""


def stretched_share(hours: Real, begun: float, now: float, b: Real | float) -> Real:
    """Return the share of ln L lost by some hours under exp(-(h / tau)^b)."""
    start = (begun / now) ** b
    return np.asarray(((hours / now) ** b - start) / (1 - start))


def _stretched(hours: Real, begun: float, now: float) -> Real:
    return stretched_share(hours, begun, now, STRETCHED[:, None])


def _power(hours: Real, begun: float, now: float) -> Real:
    tau = POWER[:, None] * now
    return np.log((tau + hours) / (tau + begun)) / np.log((tau + now) / (tau + begun))


def _linear(hours: Real, begun: float, now: float) -> Real:
    return ((hours - begun) / (now - begun))[None, :]


def _two_phases(hours: Real, begun: float, now: float) -> Real:
    bend, first = (grid.reshape(-1, 1) for grid in np.meshgrid(BENDS, FIRST_PHASE))
    t = _linear(hours, begun, now)
    return first * np.minimum(t / bend, 1) + (1 - first) * np.maximum(t - bend, 0) / (1 - bend)


LAWS = (
    Law("stretched exponential", _stretched, True, ((STRETCHED - LIKELY_B) / LIKELY_B_U) ** 2),
    Law("power", _power, True, np.zeros(len(POWER))),
    Law("linear", _linear, False, np.zeros(1)),
    Law("two-phase", _two_phases, False, np.zeros(len(BENDS) * len(FIRST_PHASE))),
)


@lru_cache(maxsize=64)
def courses_on(law: Law, begun_of_now: float) -> Real:
    """Return the courses ``(s, m)`` at ``SPANS_ON``; the hours of the baseline are given as a share of those now."""
    return law.course(begun_of_now + SPANS_ON * (1 - begun_of_now), begun_of_now, 1.0)
