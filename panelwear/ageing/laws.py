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

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]

STRETCHED = np.linspace(0.4, 1.1, 29)
"""Exponents b of exp(-(h / tau)^b)."""
POWER = np.geomspace(0.05, 20, 12)
"""tau of (1 + h / tau)^-p, as a share of the newest checkpoint's hours."""
BENDS = np.linspace(0.1, 0.6, 6)
"""Where the second phase may begin, as a share of the span seen; later there are too few checkpoints to tell it by."""
FIRST_PHASE = np.linspace(0.0, 0.95, 20)
"""Share of the loss that the first phase may hold; 0: nothing happened before the bend."""
HOURS_ON = np.concatenate([np.linspace(0, 1, 41), np.geomspace(1, 300, 400)[1:]])
"""Where courses are looked up, in spans from the baseline; what is reached later counts as never."""


@dataclass(frozen=True, slots=True, eq=False)
class Law:
    """One family of courses."""

    name: str
    course: Callable[[Real, float, float], Real]
    """From hours ``(n,)``, hours of the baseline and of the newest checkpoint to shares ``(s, n)``, one a shape."""
    in_logs: bool
    """Whether the share is one of ln L; else of L itself."""


def _stretched(hours: Real, begun: float, now: float) -> Real:
    b = STRETCHED[:, None]
    start = (begun / now) ** b
    return ((hours / now) ** b - start) / (1 - start)


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
    Law("stretched exponential", _stretched, in_logs=True),
    Law("power", _power, in_logs=True),
    Law("linear", _linear, in_logs=False),
    Law("two-phase", _two_phases, in_logs=False),
)


def reached(law: Law, shares: Real, begun: float, now: float) -> Real:
    """Return the hours at which each shape's course comes to shares ``(s, m)``, ``inf`` where it does not."""
    hours = begun + HOURS_ON * (now - begun)
    courses = law.course(hours, begun, now)
    return np.stack(
        [np.interp(wanted, course, hours, right=np.inf) for wanted, course in zip(shares, courses, strict=True)]
    )
