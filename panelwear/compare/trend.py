"""Every figure that wears against hours of use, from the baseline on, with intervals: for plots and forecasts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from panelwear.ageing.loss_forecast import ValueAtHours
from panelwear.ageing.shift_forecast import WhiteAtHours
from panelwear.compare.change_table import change_table
from panelwear.compare.changes import COMMON
from panelwear.compare.channel_steps import HUES, primaries
from panelwear.compare.differences import LIGHT, compare_circumstances
from panelwear.compare.pairing import paired
from panelwear.compare.subpixels import sub_pixels
from panelwear.figures.evidence import Evidence, Told
from panelwear.figures.formulas import chromaticity, luminance, temperature
from panelwear.figures.pick import white
from panelwear.folder.hours import HoursOfUse
from panelwear.uncertainty.coverage import interval
from panelwear.uncertainty.estimate import Estimate, combine
from panelwear.uncertainty.propagate import COARSE_STEP


@dataclass(frozen=True, slots=True)
class TrendPoint:
    """A figure at one checkpoint."""

    checkpoint: str
    hours: float
    value: float
    u: float
    low: float
    high: float
    segment: int
    """Rises by one where a compensation cycle ran or a setting changed since the checkpoint before."""
    setting: int = 0
    """Rises by one where a setting did."""
    own_u: float = 0.0
    """Standard uncertainty without what one calibration brings to all checkpoints alike."""
    hours_u: float = 0.0
    """Standard uncertainty of the hours; 0 unless they are estimated within a range."""
    known: HoursOfUse | None = None
    """How the hours are known; without it they were read."""

    @property
    def use(self) -> HoursOfUse:
        """Hours of use with how they are known."""
        return HoursOfUse(self.hours) if self.known is None else self.known


@dataclass(frozen=True, slots=True)
class FigureHistory:
    """One figure over all checkpoints."""

    name: str
    """``white.Y``, ``red.Y`` …, ``white.u_prime .v_prime .cct .duv``, and against the baseline ``white.retention``,
    ``red.retention`` …, ``red.relative`` …, ``zone/<zone>``."""
    caption: str
    unit: str
    points: tuple[TrendPoint, ...]

    def seen(self) -> tuple[ValueAtHours, ...]:
        """Return a luminance series (``white.Y``, ``red.Y`` …) as what a forecast takes."""
        usable = [p for p in self.points if p.value > 0]
        return tuple(
            ValueAtHours(p.hours, math.log(p.value / usable[0].value), p.u / p.value, p.segment, p.setting, p.hours_u)
            for p in usable
        )


def white_over(trend: Sequence[FigureHistory]) -> tuple[WhiteAtHours, ...]:
    """Return white's place at each checkpoint as what a forecast takes; none without colour."""
    series = {s.name: s.points for s in trend}
    both = zip(series.get("white.u_prime", ()), series.get("white.v_prime", ()), strict=False)
    return tuple(
        WhiteAtHours(u.hours, u.value, v.value, u.own_u, v.own_u, u.segment, u.setting, u.hours_u) for u, v in both
    )


def trend_of(ready: Sequence[Evidence], level: float = 0.95) -> tuple[FigureHistory, ...]:
    """Follow retention, white point and zones from the baseline on.

    Args:
        ready: all checkpoints, oldest first.
        level: of the intervals.
    """
    segments, settings = _segments(ready)
    found: dict[str, tuple[str, str, list[TrendPoint]]] = {}

    def keep(i: int, e: Estimate) -> None:
        if math.isfinite(e.value):
            one, ends, own_u = ready[i], interval(e, level), _own(e).u
            where, hours_u = (segments[i], settings[i]), one.circumstances.hours_u
            point = TrendPoint(one.name, one.hours, e.value, e.u, *ends, *where, own_u, hours_u, one.circumstances.use)
            found.setdefault(e.name, (e.caption, e.unit, []))[2].append(point)

    for i, one in enumerate(ready):
        for e in (*_white_point(one), *_luminances(one)):
            keep(i, e)
        for e in _kept(ready[0], one):
            if e.name not in found:
                keep(0, Estimate(e.name, 100.0 if e.name.endswith("retention") else 0.0, "%", 0.0, caption=e.caption))
            keep(i, e)
    return tuple(FigureHistory(name, caption, unit, tuple(points)) for name, (caption, unit, points) in found.items())


def _segments(ready: Sequence[Evidence]) -> tuple[list[int], list[int]]:
    """Number the stretches between cuts, and those between cuts that were settings."""
    cuts, settings = [0], [0]
    for before, after in pairwise(ready):
        how = compare_circumstances(before.circumstances, after.circumstances)
        other = not how.common or any(d.bars & LIGHT for d in how.differences)
        cuts.append(cuts[-1] + (how.cycle_between or other))
        settings.append(settings[-1] + other)
    return cuts, settings


def _own(e: Estimate) -> Estimate:
    """Return an estimate without the uncertainty of the calibration all checkpoints share."""
    own = tuple(c for c in e.components if c.name not in COMMON)
    return combine(e.name, e.value, e.unit, own, note=e.note, caption=e.caption)


def _white_point(one: Evidence) -> list[Estimate]:
    mean = white(one)
    if mean is None or not mean.has_colour or one.is_dark(mean):
        return []
    told = [Told(f"white.{part}", "1", said) for part, said in (("u_prime", "white, u'"), ("v_prime", "white, v'"))]
    place = one.estimates(told, [mean], lambda XYZ: chromaticity(XYZ)[:, 2:])
    told = [Told("white.cct", "K", "white: CCT"), Told("white.duv", "1", "white: Duv")]
    return [*place, *one.estimates(told, [mean], temperature, COARSE_STEP)]


def _luminances(evidence: Evidence) -> list[Estimate]:
    """Return white and the primaries in cd/m², without the uncertainty of the calibration all checkpoints share."""
    means = {"white": white(evidence), **dict(zip(HUES, primaries(evidence), strict=False))}
    found = []
    for name, mean in means.items():
        if mean is not None and not evidence.is_dark(mean):
            e = evidence.estimate(Told(f"{name}.Y", "cd/m²", f"{name}, luminance"), [mean], luminance)
            found.append(_own(e))
    return found


def _kept(baseline: Evidence, one: Evidence) -> list[Estimate]:
    """Return retentions and zone steps of one checkpoint against the baseline, in %."""
    if one is baseline:
        return []
    how = compare_circumstances(baseline.circumstances, one.circumstances)
    pairing = paired(baseline, one, how)
    found: list[Estimate] = []
    for row in change_table(pairing, how):
        step = row.change.step
        if row.name == "white.Y":
            name, caption = "white.retention", "white, luminance kept"
            found.append(replace(step, name=name, caption=caption, value=step.value + 100))
        elif row.name.startswith("zone/"):
            found.append(replace(step, caption=row.change.caption))
    channels = sub_pixels(pairing, how, one.hours - baseline.hours)
    if channels is not None:
        found += [c.retention for c in channels.channels] + [c.relative for c in channels.channels]
    return found
