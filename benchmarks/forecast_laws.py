"""How often the stated limits of a forecast hold, when wear goes by one law or another.

Series of seven checkpoints over 3600 h are made under each law, with random shapes and losses (5 to 12 % by then),
read with the noise a luminance has (0.3 %); the true hours of a 20 % loss are known. A zone's contrast and the shift of
white follow the same courses: 25 % and 0.03 for all light lost, read to 0.15 % and 0.0001; asked for where 20 %
are lost. "Speeding up" breaks the condition that is stated with every limit: it shows what that is worth.

    python -m benchmarks.forecast_laws                  200 series a law
    python -m benchmarks.forecast_laws --series 1000    as in docs/forecast.md, some minutes
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from benchmarks.comparison_power import binomial_interval
from panelwear.ageing.dose import EXPONENTS
from panelwear.ageing.growth import Growth
from panelwear.ageing.like_hours import LikeHours, like_hours
from panelwear.ageing.loss_forecast import ValueAtHours, forecast
from panelwear.ageing.shift_forecast import WhiteAtHours, shift_forecast
from panelwear.ageing.zone_forecast import zone_forecast
from panelwear.folder.hours import HoursOfUse
from panelwear.folder.panel import Panel
from panelwear.panel.assumed import assumed_response
from panelwear.usage.doses import doses_of
from panelwear.usage.records import parse_usage
from panelwear.usage.told import Begun

Real = NDArray[np.float64]
Kept = Callable[[Real], Real]
"""From hours to the share of luminance kept."""

CUT, VAGUE, DRIFTING = "a cycle half-way", "hours known to 150 h", "a probe that drifts"
UNLIKE = "use that was not alike"
"""Stretched exponentials: with a compensation cycle half-way, which gives or takes up to 2 %; with hours of use that
were estimated, 150 h standard uncertainty each; with a probe that drifts straight on, 0.5 % standard deviation, as is
stated; with white at 60 to 250 cd/m² that changed twice, told to 10 %, on a panel that wears as luminance to the power
1.4 to 2.0."""
HOURS_U, DRIFT_U = 150.0, 0.005
SPAN_H = 3600.0
BEGAN = date(2026, 1, 5)
PANEL = Panel(Path(), "invented", 1280, 720, (597.0, 336.0), 60, 600)
TARGET = 0.20
U = 0.003
HOURS_ON = np.geomspace(1.0, 2e6, 40_000)
OF_A_ZONE, ZONE_U = 25.0, 0.15
"""Contrast in % of a zone that lost all its light, by the invented course here, and what it is read to."""
OF_WHITE, WHITE_U, WAY = 0.03, 0.0001, (0.9, 0.436)
"""Shift of white likewise, and its direction in u', v'."""


def laws(rng: np.random.Generator) -> dict[str, Kept]:
    """Return one course of each law, all having lost the same by the newest checkpoint."""
    lost = float(rng.uniform(0.05, 0.12))
    b, p, tau = rng.uniform(0.5, 1.0), rng.uniform(0.3, 2.0), rng.uniform(0.05, 1.0) * SPAN_H
    first = float(rng.uniform(0.2, 0.7))
    onset = float(rng.uniform(0.2, 0.5)) * SPAN_H

    def scaled(shape: Kept) -> Kept:
        return lambda h: np.asarray(1 - lost * shape(h) / shape(np.array([SPAN_H])))

    return {
        "stretched exponential": lambda h: np.exp(math.log(1 - lost) * (h / SPAN_H) ** b),
        "linear": scaled(lambda h: h),
        "power of time": lambda h: (1 + h / tau) ** (math.log(1 - lost) / math.log(1 + SPAN_H / tau)),
        "root of time": scaled(lambda h: h ** (0.5 + 0.1 * p)),
        "two-phase": scaled(
            lambda h: first * (1 - np.exp(-4 * h / SPAN_H)) / (1 - math.exp(-4)) + (1 - first) * h / SPAN_H
        ),
        "late onset": scaled(lambda h: np.maximum(h - onset, 0.0)),
        "speeding up": scaled(lambda h: h**1.5),
    }


def when(kept: Kept, target: float) -> float:
    """Return the hours at which a loss is reached, ``inf`` where it is not."""
    lost = 1 - kept(HOURS_ON)
    over = np.flatnonzero(lost >= target)
    return float(HOURS_ON[over[0]]) if len(over) else math.inf


class Told(Protocol):
    """Any forecast."""

    @property
    def said(self) -> str: ...  # noqa: D102
    @property
    def low_h(self) -> float: ...  # noqa: D102
    @property
    def high_h(self) -> float: ...  # noqa: D102


@dataclass
class Count:
    """How often limits of one kind of figure held."""

    asked: int = 0
    low: int = 0
    two: int = 0
    both: int = 0
    early: list[float] = field(default_factory=list)
    """Lower limit over the true hours."""
    ratios: list[float] = field(default_factory=list)
    """Upper over lower limit, where both are said."""

    def add(self, told: Told, true_h: float) -> None:
        """Count one forecast."""
        if told.said in {"refused", "visible", "reached"}:
            return
        self.asked += 1
        self.low += told.low_h <= true_h
        if math.isfinite(true_h):
            self.early.append(told.low_h / true_h)
        if math.isfinite(told.high_h):
            self.two += 1
            self.both += told.low_h <= true_h <= told.high_h
            self.ratios.append(told.high_h / told.low_h)

    def cells(self) -> str:
        """Return bound and interval as cells."""
        least = binomial_interval(self.low, self.asked)[0] if self.asked else math.nan
        bound = f"{self.low} of {self.asked} (> {least:.1%})"
        share = f" ({self.both / self.two:.1%})" if self.two else ""
        ratio = f"{np.median(self.ratios):.1f}" if self.ratios else "-"
        early = f"{np.median(self.early):.2f}" if self.early else "-"
        return f"{bound:>25}{early:>6}{f'{self.both} of {self.two}{share}':>23}{ratio:>6}"


def unlike(rng: np.random.Generator, hours: Real) -> tuple[Real, LikeHours]:
    """Draw a use that changed twice: hours of like use as they are, and as they follow from what was told of it."""
    white = np.exp(rng.uniform(math.log(60), math.log(250), 3))
    turns = np.sort(rng.choice(np.arange(1, len(hours) - 1), 2, replace=False))
    days = [str(BEGAN + timedelta(hours=3 * float(h))) for h in hours]  # eight hours a day
    stretches = [
        {"since": since, "white_cd_m2": [0.9 * float(told), 1.1 * float(told)], "content": [{"light": [1, 1, 1]}]}
        for since, told in zip(["always", *(days[i] for i in turns)], white * rng.uniform(0.91, 1.09, 3), strict=True)
    ]
    ends = [Begun(f"c{i}", day, HoursOfUse(float(h))) for i, (day, h) in enumerate(zip(days, hours, strict=True))]
    dose = doses_of(parse_usage({"stretches": stretches}), PANEL, assumed_response({}), ends)[0]
    found = like_hours(np.array([dose.hours, dose.low, dose.high]), hours)
    if found is None:
        raise ValueError("use that was drawn has a dose")
    of_each = white[np.searchsorted(turns, np.arange(len(hours) - 1), side="right")] ** rng.uniform(*EXPONENTS[::2])
    true = np.append(0.0, np.cumsum(np.diff(hours) * of_each))
    return hours[-1] * true / true[-1], found


def counted(law: str, series: int) -> tuple[Count, Count, Count]:
    """Make the series of one law, forecast each, and count how often the limits hold: loss, contrast, white."""
    loss, zone, white = Count(), Count(), Count()
    uniform_hours = true_hours = np.linspace(0, SPAN_H, 7)
    cut = ((true_hours > SPAN_H / 2) & (law == CUT)).astype(int)
    hours_u, drift_u = HOURS_U * (law == VAGUE), DRIFT_U * (law == DRIFTING)
    for seed in range(series):
        rng = np.random.default_rng((seed, 5))
        courses = laws(rng)
        if law == UNLIKE:
            true_hours, told = unlike(rng, uniform_hours)
        kept = courses.get(law, courses["stretched exponential"])
        step = float(rng.uniform(-0.02, 0.02)) * (law == CUT)
        hours = true_hours + hours_u * rng.standard_normal(7) * (true_hours > 0) if hours_u else true_hours
        us = np.full(7, hours_u)
        if law == UNLIKE:
            hours, us = told.at, told.u
        drift = drift_u * float(rng.standard_normal()) * true_hours / SPAN_H if drift_u else 0.0
        light = np.log(kept(true_hours)) + step * cut + drift + U * rng.standard_normal(7)
        contrast = OF_A_ZONE * (kept(true_hours) - 1 + step * cut) + ZONE_U * rng.standard_normal(7)
        shift = OF_WHITE * (1 - kept(true_hours) - step * cut)
        u, v = (shift * way + noise for way, noise in zip(WAY, WHITE_U * rng.standard_normal((2, 7)), strict=True))
        read = [tuple(map(float, one)) for one in zip(hours, us, light - light[0], contrast, u, v, strict=True)]
        both = [(*one, int(segment)) for one, segment in zip(read, cut, strict=True)]
        losses = [ValueAtHours(h, y, U, s, hours_u=w) for h, w, y, _, _, _, s in both]
        grown = [Growth(h, c, ZONE_U, s, w) for h, w, _, c, _, _, s in both]
        places = [WhiteAtHours(h, 0.1978 + a, 0.4683 + b, WHITE_U, WHITE_U, s, 0, w) for h, w, _, _, a, b, s in both]
        loss.add(forecast(losses, TARGET, drift_u=drift_u), when(lambda h, k=kept, s=step: k(h) * math.exp(s), TARGET))
        zone.add(zone_forecast("zone", grown, OF_A_ZONE * TARGET), when(kept, TARGET + step))
        white.add(shift_forecast(places, OF_WHITE * TARGET), when(kept, TARGET + step))
    return loss, zone, white


def main() -> None:
    """Print three lines a law."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--series", type=int, default=200, help="of each law (200)")
    parser.add_argument("--law", action="append", help="only this row; may be repeated")
    asked = parser.parse_args()
    print(f"{'law':<24}{'figure':<10}{'not before holds':>25}{'/true':>6}{'interval holds':>23}{'ratio':>6}")
    for law in asked.law or (*laws(np.random.default_rng(0)), CUT, VAGUE, DRIFTING, UNLIKE):
        for figure, count in zip(("loss", "contrast", "white"), counted(law, asked.series), strict=True):
            print(f"{law:<24}{figure:<10}{count.cells()}", flush=True)


if __name__ == "__main__":
    main()
