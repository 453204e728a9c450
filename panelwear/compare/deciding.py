"""What would decide an undecided figure: which part of its uncertainty rules, and what brings it down far enough.

Worked out from the row's own list of parts. If the true change is as seen, another reading of it scatters round that by
its standard uncertainty; it is decided where it is significant (as the first of the family, its hardest place in
Holm's procedure) or lies with its whole interval inside what matters. An offer is the least of its kind with which that
happens in four of five such readings.

The earlier checkpoint cannot be read again. So an offer first asks what the later one alone can do, on evenings to come
soon; else what both ends of a later comparison need.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from panelwear.compare.change_table import JudgedChange, weight_of
from panelwear.compare.changes import VectorChange
from panelwear.compare.verdict import p_of_vector
from panelwear.figures.evidence import Evidence
from panelwear.figures.pick import white
from panelwear.figures.quadruples import quadruples
from panelwear.telling.words import with_capital
from panelwear.uncertainty.coverage import t_factor
from panelwear.uncertainty.estimate import Component, Estimate, combine
from panelwear.uncertainty.formatting import unit_of
from panelwear.uncertainty.meter import ASSUMED, MeterTerms

CHANCE = 0.8
"""Share of readings in which an offer must decide, if the true change is as seen."""
EVENINGS = (5, 9)
"""Of one light, from which ``probe stability`` tells the probe's terms; nine tell them well."""
MOST_EVENINGS, MOST_READINGS = 6, 8
"""Largest multiples that are offered: evenings at one checkpoint, times the readings of today."""
LEAST_LEFT = 0.2
"""A probe that must wander by less than this share of what is assumed is no offer."""
_TERMS = {
    "session scale": ("session_scale", 100.0, " %", "its scale"),
    "session chromaticity": ("session_xy", 1.0, "", "its x and y"),
    "session filters": ("session_filters", 100.0, " %", "its filters"),
}
_EVENINGLY = {*_TERMS, "repeatability", "placement", "placement offset", "drift"}
"""Parts that another evening draws anew."""
_WORDS = {
    "session scale": "the probe's scale between evenings",
    "session chromaticity": "the probe's x and y between evenings",
    "session filters": "the probe's filters between evenings",
    "repeatability": "the scatter of the readings",
    "placement": "how well the probe finds its place again",
    "drift": "drift and slow noise of panel and probe",
    "resolution": "the probe's last digit",
    "below what the probe can tell": "the probe's floor",
    "spectral mismatch": "the filters of two probes",
    "calibration scale": "two calibrations",
    "calibration chromaticity": "two calibrations",
    "channels' own colour": "what is assumed of the channels' own colour",
}
_RINGS, _SPOKES = 40, 48


@dataclass(frozen=True, slots=True)
class Offer:
    """One thing that would decide."""

    kind: str
    """``stability``, ``readings`` or ``evenings`` (sessions, where the figure is a ratio inside one)."""
    number: int
    """Evenings of the light; readings of each patch; evenings at a checkpoint."""
    both: bool
    """Whether both ends need it, so that only a comparison of checkpoints to come is decided by it."""
    at_most: tuple[tuple[str, float], ...]
    """For ``stability``: by key of probe.toml, what the term may come out as at most."""
    step: Estimate
    """The change as seen with the uncertainty it would then have."""
    chance: float
    """Share of readings in which it then is decided, if the true change is as seen."""


@dataclass(frozen=True, slots=True)
class Deciding:
    """What keeps one figure undecided, and what would decide it."""

    figure: str
    caption: str
    part: str
    """Name of the part of the uncertainty that rules."""
    share: float
    """Of the variance, 0..1."""
    assumed: bool
    """Whether that part is assumed, not measured."""
    needed_u: float
    """Standard uncertainty of the change, in its unit, that would decide it in ``CHANCE`` of the readings."""
    step: Estimate
    offers: tuple[Offer, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class _Question:
    """An undecided row with what decides it."""

    row: JudgedChange
    cut: float
    """p below which the first of the family is significant."""
    level: float

    def chance(self, step: Estimate) -> float:
        """Return in which share of readings the row is decided, with the uncertainty of ``step``."""
        worth, half = self.row.judged.worth, t_factor(step.dof, self.level) * step.u
        if self.row.vector is not None and self.row.name == "white.uv_prime":
            return self._of_vector(step, worth - half, self.row.vector)
        told, inside = t_factor(step.dof, 1 - self.cut) * step.u, worth - half
        if inside >= told:
            return 1.0
        small = 1 - _beyond(inside, step.value, step.u) if inside > 0 else 0.0
        return _beyond(told, step.value, step.u) + small

    def _of_vector(self, step: Estimate, inside: float, vector: VectorChange) -> float:
        spread = np.linalg.cholesky(np.array(vector.covariance)) * (step.u / self.row.change.step.u)
        C = spread @ spread.T
        covariance = ((float(C[0, 0]), float(C[0, 1])), (float(C[1, 0]), float(C[1, 1])))
        points = np.array(vector.values) + _rings() @ spread.T
        decided = [
            math.hypot(u, v) <= inside
            or p_of_vector(replace(vector, values=(u, v), covariance=covariance, dof=step.dof)) <= self.cut
            for u, v in points.tolist()
        ]
        return float(np.mean(decided))

    def after(self, factors: Mapping[str, tuple[float, float | None]]) -> Estimate:
        """Return the change with parts of another size.

        Args:
            factors: by name of the part, what its standard uncertainty is multiplied by and its new degrees of freedom.
        """
        step = self.row.change.step
        parts = tuple(_scaled(c, *factors.get(c.name, (1.0, None))) for c in step.components)
        return combine(step.name, step.value, step.unit, parts, caption=step.caption)


def _scaled(part: Component, by: float, dof: float | None) -> Component:
    return replace(part, u=part.u * by, dof=part.dof if dof is None else dof)


def _beyond(limit: float, centre: float, u: float) -> float:
    """Return the chance that a normal value lies outside ± limit."""
    from scipy.special import ndtr

    return float(ndtr((-limit - centre) / u) + ndtr((centre - limit) / u))


def _rings() -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Return points of equal weight that stand for two independent normal deviates, ``(n, 2)``."""
    radius = np.sqrt(-2 * np.log(1 - (np.arange(_RINGS) + 0.5) / _RINGS))
    angle = 2 * np.pi * (np.arange(_SPOKES) + 0.5) / _SPOKES
    return np.column_stack([np.outer(radius, np.cos(angle)).ravel(), np.outer(radius, np.sin(angle)).ravel()])


def deciding(rows: Sequence[JudgedChange], after: Evidence, level: float = 0.95) -> tuple[Deciding, ...]:
    """Say of every undecided figure of the family what would decide it, those that lead first.

    Args:
        rows: the change table.
        after: the later checkpoint.
        level: of the intervals.
    """
    family = [row for row in rows if not row.under]
    asked = [
        row
        for row in family
        if row.judged.verdict == "undecided" and not row.judged.why and row.change.step.u > 0 and row.judged.worth > 0
    ]
    all_weights = math.fsum(weight_of(row.kind) for row in family)
    found = [
        _deciding(_Question(row, (1 - level) * weight_of(row.kind) / all_weights, level), after)
        for row in asked
        if row.change.step.components
    ]
    return tuple(sorted(found, key=lambda one: _LEADING.get(one.figure, len(_LEADING))))


_LEADING = {"white.Y": 0, "white.uv_prime": 1}


def leading(found: Sequence[Deciding], rows: Sequence[JudgedChange]) -> tuple[str, ...]:
    """Return the sentences of white luminance, of the white point, and of the zone among them that went furthest."""
    size = {row.name: abs(row.change.step.value) for row in rows}
    zones = sorted((one for one in found if one.figure.startswith("zone/")), key=lambda one: -size.get(one.figure, 0.0))
    return tuple(one.sentence for one in (*(o for o in found if o.figure in _LEADING), *zones[:1]))


def _deciding(question: _Question, after: Evidence) -> Deciding:
    row, step = question.row, question.row.change.step
    ruling = max(step.components, key=lambda c: c.u)
    share = ruling.u**2 / sum(c.u**2 for c in step.components)
    offers = tuple(_offers(question, after))
    needed = _needed(question)
    begun = Deciding(
        row.name, row.change.caption, ruling.name, share, ruling.note == ASSUMED, needed, step, offers, sentence=""
    )
    return replace(begun, sentence=_sentence(begun, after.meter, _readings(row.name, after)))


def _sentence(one: Deciding, meter: MeterTerms, readings: int) -> str:
    part, unit = _WORDS.get(one.part, one.part), unit_of(one.step.unit)
    assumed = f", {ASSUMED}" if one.assumed else ""
    name = with_capital(one.caption)
    begun = f"{name}: undecided by {part} ({100 * one.share:.0f} % of the variance{assumed})"
    if not one.offers:
        wanted = (
            f"; its standard uncertainty would have to fall from {one.step.u:.2g}{unit} to {one.needed_u:.2g}{unit}"
            if math.isfinite(one.needed_u)
            else ""
        )
        most = f"Neither {MOST_READINGS} times the readings nor" if readings else "Not even"
        return f"{begun}. {most} {MOST_EVENINGS} evenings at both ends would decide a change as seen{wanted}."
    listed = " or ".join(_offered(one, offer, meter, readings) for offer in one.offers)
    least = min(offer.chance for offer in one.offers)
    return f"{begun}. A change of the size seen would be decided, with a chance of {100 * least:.0f} %, by {listed}."


def _offered(one: Deciding, offer: Offer, meter: MeterTerms, readings: int) -> str:
    where = "at both ends of a later comparison" if offer.both else "at the next checkpoint"
    if offer.kind == "readings":
        return f"{offer.number} readings a patch instead of {readings} {where}"
    if offer.kind == "evenings":
        # What is a ratio inside a session needs no other evening, only to be read over again.
        times = "evenings" if any(c.name in _TERMS for c in one.step.components) else "sessions"
        return f"{offer.number} {times} instead of 1 {where}"
    named = {key: (factor, unit, words) for key, factor, unit, words in _TERMS.values()}
    terms = [
        f"{words} wander{'s' if key == 'session_scale' else ''} by {named[key][0] * value:.2g}{unit} or less "
        f"(assumed: {named[key][0] * float(getattr(meter, key)):g}{unit})"
        for key, value in offer.at_most
        for _, unit, words in [named[key]]
    ]
    return f"'panelwear probe stability' on {offer.number} evenings, if {' and '.join(terms)}"


def _needed(question: _Question) -> float:
    """Return the largest standard uncertainty that decides in ``CHANCE`` of the readings, all parts falling alike."""
    step = question.row.change.step
    for by in np.geomspace(1.0, 0.01, 93):
        if question.chance(replace(step, u=step.u * by)) >= CHANCE:
            return float(step.u * by)
    return math.nan


def _offers(question: _Question, after: Evidence) -> Iterator[Offer]:
    yield from _stability(question, after.meter)
    for both in (False, True):
        found = [*_more_readings(question, after, both), *_more_evenings(question, both)]
        yield from found
        if found:
            return


def _stability(question: _Question, meter: MeterTerms) -> Iterator[Offer]:
    """Yield the fewest evenings of a stable light with which the probe's own terms, if small enough, decide."""
    parts = [c for c in question.row.change.step.components if c.name in _TERMS and c.note == ASSUMED]
    for evenings in EVENINGS if parts else ():
        for by in np.linspace(1.0, LEAST_LEFT, 33).tolist():
            step = question.after({c.name: (by, float(evenings - 1)) for c in parts})
            chance = question.chance(step)
            if chance >= CHANCE:
                terms = ((_TERMS[c.name][0], by * float(getattr(meter, _TERMS[c.name][0]))) for c in parts)
                yield Offer("stability", evenings, False, tuple(terms), step, chance)
                return


def _more_readings(question: _Question, after: Evidence, both: bool) -> Iterator[Offer]:
    read = _readings(question.row.name, after)
    for times in range(2, MOST_READINGS + 1) if read else ():
        step = question.after({"repeatability": (_left(question.row, "repeatability", times, both), None)})
        chance = question.chance(step)
        if chance >= CHANCE:
            yield Offer("readings", times * read, both, (), step, chance)
            return


def _more_evenings(question: _Question, both: bool) -> Iterator[Offer]:
    for evenings in range(2, MOST_EVENINGS + 1):
        names = [c.name for c in question.row.change.step.components if c.name in _EVENINGLY]
        step = question.after({name: (_left(question.row, name, evenings, both), None) for name in names})
        chance = question.chance(step)
        if chance >= CHANCE:
            yield Offer("evenings", evenings, both, (), step, chance)
            return


def _left(row: JudgedChange, name: str, times: int, both: bool) -> float:
    """Return what a part's standard uncertainty is multiplied by when it is drawn so many times, at one end or both."""
    if both:
        return 1 / math.sqrt(times)
    ratio = row.change.step.unit == "%"
    ends = [_part_of(e, name, ratio) ** 2 for e in (row.change.before, row.change.after)]
    later = ends[1] / sum(ends) if sum(ends) > 0 else 0.5
    return math.sqrt(1 - later + later / times)


def _part_of(estimate: Estimate, name: str, ratio: bool) -> float:
    """Return a part of one end's uncertainty, relative where the change is a ratio; 0 where the end is not known."""
    found = sum(c.u for c in estimate.components if c.name == name)
    return found / estimate.value if ratio and estimate.unit == "cd/m²" and estimate.value > 0 else found


def _readings(figure: str, after: Evidence) -> int:
    """Return how many readings of each patch a figure rests on, or 0 where they differ or are not known."""
    if figure.startswith("white."):
        own = white(after)
        return own.n if own is not None else 0
    seats = quadruples(after).get(figure.removeprefix("zone/"), ()) if figure.startswith("zone/") else ()
    counts = {m.n for q in seats for m in (*q.own, *q.other)}
    return counts.pop() if len(counts) == 1 else 0
