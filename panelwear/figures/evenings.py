"""What evenings of one stable light tell of the probe: how far scale, x and y, and filters wander between them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.readings.stability import StabilityReading
from panelwear.readings.table import UNUSABLE_FLAGS
from panelwear.telling.words import counted
from panelwear.uncertainty.coverage import t_factor
from panelwear.uncertainty.variance import Between, between, spread_interval

Real = NDArray[np.float64]

PAUSE_S = 6 * 3600.0
"""A longer pause between two readings begins another evening."""
SETTLED = 2.0
"""Enough evenings were read when the upper limit of a term is less than this many times the term: nine."""
MOST_EVENINGS = 20


@dataclass(frozen=True, slots=True)
class WanderedTerm:
    """One term between evenings."""

    name: str
    """Key of ``probe.toml``."""
    value: float | None
    """Standard deviation between evenings; ``None`` where the evenings differ no more than their readings scatter."""
    low: float
    high: float
    """95 % interval of it (χ²)."""
    component: float
    """The same with the readings' scatter taken out, by moments."""


@dataclass(frozen=True, slots=True)
class Stability:
    """What the evenings tell."""

    evenings: int
    readings: int
    last: str
    """Day of the last evening, ISO 8601."""
    terms: tuple[WanderedTerm, ...]
    """Scale as a share, x and y (the larger of both), filters as a share; the last two need colour."""

    @property
    def dof(self) -> int:
        """Degrees of freedom of each term: the evenings less one."""
        return self.evenings - 1

    def value(self, name: str) -> float | None:
        """Return a term that was measured."""
        return next((t.value for t in self.terms if t.name == name), None)


def comparable(rows: Sequence[StabilityReading], light: str, probe: str) -> list[StabilityReading]:
    """Return the usable readings of one light by one probe."""
    return [
        row
        for row in rows
        if row.light == light
        and not (probe and row.probe and row.probe != probe)
        and row.Y_cd_m2 is not None
        and math.isfinite(row.Y_cd_m2)
        and row.Y_cd_m2 > 0
        and not {*UNUSABLE_FLAGS, "low-light"} & set(row.flags.split())
    ]


def stability_of(rows: Sequence[StabilityReading]) -> Stability | None:
    """Work out the terms from the usable readings of one light; ``None`` with fewer than two evenings."""
    numbers = sorted({row.evening for row in rows})
    if len(numbers) < 2:
        return None
    groups = [[row for row in rows if row.evening == number] for number in numbers]
    terms = [_term("session_scale", [_of(groups, lambda XYZ: np.log(XYZ[:, 1]))])]
    if all(row.X_cd_m2 and row.Z_cd_m2 and min(row.X_cd_m2, row.Z_cd_m2) > 0 for row in rows):
        xy = [_of(groups, lambda XYZ, c=c: XYZ[:, c] / XYZ.sum(axis=1)) for c in (0, 1)]  # type: ignore[misc]
        ratios = [_of(groups, lambda XYZ, c=c: np.log(XYZ[:, c] / XYZ[:, 1])) for c in (0, 2)]  # type: ignore[misc]
        terms += [_term("session_xy", xy), _term("session_filters", ratios)]
    return Stability(len(groups), len(rows), max(row.time_utc for row in rows)[:10], tuple(terms))


def _of(groups: Sequence[Sequence[StabilityReading]], function: Callable[[Real], Real]) -> Between:
    return between([function(_XYZ(group)).tolist() for group in groups])


def _XYZ(group: Sequence[StabilityReading]) -> Real:
    """Return X, Y, Z of readings, ``(n, 3)``; X and Z of a luminance meter are not asked for."""
    return np.array([(row.X_cd_m2 or math.nan, row.Y_cd_m2, row.Z_cd_m2 or math.nan) for row in group], np.float64)


def _term(name: str, found: Sequence[Between]) -> WanderedTerm:
    """Make a term of one quantity or of two; of two the larger counts, as one number stands for both."""
    widest = max(found, key=lambda one: one.spread)
    apart = any(one.component > 0 for one in found)
    low, high = spread_interval(widest.spread, widest.dof)
    return WanderedTerm(name, widest.spread if apart else None, low, high, widest.component)


def evenings_wanted(evenings: int) -> int:
    """Return how many more evenings bring a term's upper limit under twice the term; 0 where there are enough."""
    for k in range(max(evenings, 2), MOST_EVENINGS):
        if spread_interval(1.0, k - 1)[1] < SETTLED:
            return k - evenings
    return 0


def step_known_to(term: float, evenings: int) -> float:
    """Return the half width of the 95 % interval that a step between two checkpoints has from this term alone.

    Both checkpoints hold the term, and both know it from the same evenings.
    """
    return t_factor(evenings - 1) * math.sqrt(2) * term


_SAID = {
    "session_scale": ("luminance", 100.0, " %", "the luminance scale"),
    "session_xy": ("x, y", 1.0, "", "x and y (the larger of both)"),
    "session_filters": ("filters", 100.0, " %", "X and Z against Y (the larger of both): its filters"),
}


def in_words(found: Stability, assumed: dict[str, float]) -> tuple[str, ...]:
    """Say what was found, a sentence a line.

    Args:
        found: the terms.
        assumed: by name, what stands in ``probe.toml`` and is kept where the evenings tell nothing.
    """
    told = [f"{found.evenings} evenings, {found.readings} readings. From one evening to another:"]
    for term in found.terms:
        _, factor, unit, words = _SAID[term.name]
        low, high = (f"{factor * end:.2g}" for end in (term.low, term.high))
        if term.value is None:
            told.append(
                f"  {words}: no more than the scatter of the readings explains (spread {factor * term.high:.2g}{unit} "
                f"at most, 95 %), so {factor * assumed[term.name]:g}{unit} is kept as assumed; more readings an "
                "evening would show less"
            )
            continue
        told.append(
            f"  {words} wanders by {factor * term.value:.2g}{unit} (standard deviation; 95 %: {low} to {high}{unit}; "
            f"{counted(found.dof, 'degree')} of freedom), of it the probe's own "
            f"{factor * term.component:.2g}{unit}"
        )
    return (*told, *_more(found))


def _more(found: Stability) -> tuple[str, ...]:
    said = []
    scale, more = found.value("session_scale"), evenings_wanted(found.evenings)
    if scale is not None:
        now = 100 * step_known_to(scale, found.evenings)
        with_more = 100 * step_known_to(scale, found.evenings + more)
        later = f"; with {counted(more, 'more evening')} and the same spread to ± {with_more:.2g} %" if more else ""
        said.append(f"A step of luminance between two checkpoints is known by that to ± {now:.2g} % (95 %){later}.")
    if more:
        said.append(
            f"{found.evenings} evenings tell a spread only roughly: {more} more would bring the upper limits under "
            "twice the values."
        )
    said.append("What the light itself does between evenings is in these numbers: a lamp that ages makes them larger.")
    return tuple(said)
