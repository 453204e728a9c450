"""All that is known of one checkpoint, put together once: every figure comes from it, and from nothing else.

Corrected, drift out, averaged, and asked for values with uncertainty.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from groundwork.once import once
from panelwear.colorimetry.plausible import possible
from panelwear.errors import FileFault
from panelwear.figures.averaging import means_of
from panelwear.figures.causes import meter_causes, own_causes
from panelwear.figures.circumstances import Circumstances
from panelwear.figures.evening_shares import VISITS_A_SEGMENT, evening_shares, evenings_of
from panelwear.figures.left_out import left_out_of
from panelwear.figures.means import DARK_PURPOSES, SIDE_PURPOSES, Mean, Placement
from panelwear.figures.pooled_noise import PooledNoise, pooled_noise
from panelwear.figures.probe_spread import pooled, spread_of
from panelwear.figures.record_facts import RecordFacts
from panelwear.panel.drift import Drift, fit_drift
from panelwear.panel.placement import OFFSET, Offset
from panelwear.panel.slow_noise import Seat
from panelwear.panel.timeline import DriftFactor, Timeline, still, timeline_of
from panelwear.panel.tint_drift import TintDrift, fit_tint
from panelwear.readings.table import ReadingTable
from panelwear.uncertainty.causes import Source, Stack, stack_of
from panelwear.uncertainty.chromaticity import tristimulus_per_xy
from panelwear.uncertainty.estimate import Estimate, combine
from panelwear.uncertainty.meter import MeterTerms
from panelwear.uncertainty.propagate import FINE_STEP, Function, contributions, jacobian
from sequences.keys import PairKey

Real = NDArray[np.float64]

LEAST_PLACEMENT = 1e-5
"""No hand finds a place again better than this, as ln; what a few placements say may be less by chance."""
MOST_SHOWINGS = 6_000
"""Showings of one checkpoint: their covariance is a square of them. The shipped sequence has some 450."""


@dataclass(frozen=True, slots=True)
class Told:
    """Name, unit and caption of one figure to be worked out."""

    name: str
    unit: str
    caption: str


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """What every figure is worked out from."""

    table: ReadingTable
    """Usable readings, matrix applied, drift taken out."""
    raw: ReadingTable
    """Usable readings, matrix applied, drift left in."""
    meter: MeterTerms
    timeline: Timeline
    """The showings of ``raw`` as it was before anything was cut."""
    drift: Drift
    drift_factor: DriftFactor
    """Of the rows of ``table``."""
    drift_dof: float
    placement: Placement
    """How well the probe finds its place: pooled over the checkpoints it read, once they are put together."""
    spread: Placement | None
    """What this checkpoint alone tells of that; ``None`` where it tells nothing."""
    means: tuple[Mean, ...]
    """One a patch, in the order of reading."""
    floor_cd_m2: float
    """Under it the probe is not trusted, whatever the number of readings."""
    stored: int
    """Readings stored, usable or not."""
    left_out: int
    """Readings that could not be used."""
    is_corrected: bool
    """Whether a correction matrix was applied."""
    record: RecordFacts = field(default_factory=RecordFacts)
    """What panel and record tell besides."""
    noise: PooledNoise | None = None
    """Of one reading, for patches that were read too seldom to tell their own."""
    offsets: Mapping[int, Offset] = field(default_factory=dict)
    """How far the probe was found from where it sat before, by the visits of ``table``."""
    evenings: Mapping[int, int] = field(default_factory=dict)
    """Which evening each segment of ``table`` was read on."""
    dark: Mapping[str, Mean] = field(default_factory=dict)
    """Readings of the covered probe (``probe-floor``) and of the switched-off screen (``screen-off``)."""
    zone_means: dict[tuple[str, str, str], Mapping[PairKey, Mean]] = field(default_factory=dict)
    """By zone, hue and level, the means of the seats of its quadruple; filled when first asked for, see ``quadruples``.
    Readings and drift alone decide it, so copies with another meter, placement or record share it."""
    memo: dict[Any, Any] = field(default_factory=dict, init=False)
    """What was worked out from this very evidence, so that it is worked out once; a changed copy begins anew."""

    @property
    def circumstances(self) -> Circumstances:
        """Under which it was read."""
        return self.record.circumstances

    @property
    def name(self) -> str:
        """Name of the checkpoint."""
        return self.circumstances.name

    @property
    def hours(self) -> float:
        """Hours of use."""
        return self.circumstances.hours

    @property
    def is_empty(self) -> bool:
        """Whether nothing was read and nothing seen."""
        return not (self.stored or self.record.marks or self.record.matches)

    def select(self, *, purpose: str = "", place: str = "", hue: str = "") -> list[Mean]:
        """Return the patches with this purpose, place and hue, where given."""
        return [
            m
            for m in self.means
            if (not purpose or m.purpose == purpose) and (not place or m.place == place) and (not hue or m.hue == hue)
        ]

    def means_of_rows(self, groups: Sequence[NDArray[np.intp]]) -> list[Mean]:
        """Average rows of ``table``, given by their numbers, group by group; each belongs to one patch."""
        return means_of(self.table, groups, self.drift_factor)

    def cut(self, kept: NDArray[np.bool_]) -> Evidence:
        """Return it with some rows of ``table`` only (bool, one a row); a patch that loses rows keeps its mean."""
        if kept.all():
            return self
        there = {*self.table.patch[kept].there()}
        return replace(
            self,
            table=self.table.where(kept),
            raw=self.raw.where(kept),
            drift_factor=self.drift_factor.where(kept),
            means=tuple(m for m in self.means if m.key in there),
            zone_means={},
        )

    def floor_for(self, mean: Mean) -> float:
        """Return the least luminance that counts as measured for a patch."""
        return max(self.floor_cd_m2, self.meter.floor_cd_m2(mean.n), 3.3 * mean.u_Y)

    def is_dark(self, mean: Mean) -> bool:
        """Tell whether a patch lies below what can be measured."""
        return self.floor_for(mean) > mean.Y

    def stack(self, means: Sequence[Mean]) -> Stack:
        """Return every cause of uncertainty of these patches, with what they have in common kept common."""
        return once(self.memo, ("stack", *means), lambda: stack_of(self._sources(means)))

    def _sources(self, means: Sequence[Mean]) -> list[Source]:
        XYZ = np.stack([m.XYZ for m in means])
        return [
            *own_causes(means, XYZ, self.meter, self.noise),
            *self._together(means, XYZ),
            *meter_causes(means, XYZ, self.meter, evening_shares(means, self.evenings)),
        ]

    def _together(self, means: Sequence[Mean], XYZ: Real) -> list[Source]:
        visits = sorted({v for m in means for v in m.visits})
        share = np.array([[m.visits.get(v, 0.0) for v in visits] for m in means])
        found = [
            Source("placement", self.placement.u * XYZ[:, :, None] * share[:, None, :], self.placement.dof,
                   "B" if math.isinf(self.placement.dof) else "A", self.placement.note)
        ]  # fmt: skip
        for i, visit in enumerate(visits):
            offset = self.offsets.get(visit)
            if offset is not None:
                found.append(Source(OFFSET, XYZ[:, :, None] * (share[:, i] * offset.share())[:, None, None],
                                    note=offset.note()))  # fmt: skip
        if self.drift_factor.deviates:
            moved = np.stack([m.drift for m in means])
            found.append(Source("drift", XYZ[:, :, None] * moved, self.drift_dof, "A"))
        if self.meter.placement_xy > 0:
            by_xy = tristimulus_per_xy(XYZ) * self.meter.placement_xy
            spread = np.einsum("kcx,kv->kcvx", by_xy, share).reshape(len(means), 3, -1)
            found.append(Source("placement", spread, note="assumed"))
        return found

    def estimates(
        self, told: Sequence[Told], means: Sequence[Mean], function: Function, step: float = FINE_STEP
    ) -> list[Estimate]:
        """Work out figures of some patches by a function from ``(m, k, 3)`` to ``(m, q)``, q as many as ``told``."""
        XYZ = np.stack([m.XYZ for m in means])
        with np.errstate(divide="ignore", invalid="ignore"):
            values, slopes = jacobian(function, XYZ, step)
            stack = self.stack(means)
            us = contributions(slopes, stack)
        note = flags_of(means)
        found = []
        for i, entry in enumerate(told):
            if not (np.isfinite(values[i]) and np.isfinite(us[:, i]).all()):
                found.append(missing(entry, "cannot be worked out from these readings"))
                continue
            found.append(
                combine(entry.name, float(values[i]), entry.unit, stack.causes.components(us[:, i]), note=note,
                        caption=entry.caption)
            )  # fmt: skip
        return found

    def estimate(self, told: Told, means: Sequence[Mean], function: Callable[[Real], Real]) -> Estimate:
        """Work out one figure by a function from ``(m, k, 3)`` to ``(m,)``."""
        return self.estimates([told], means, lambda XYZ: function(XYZ)[:, None])[0]


def flags_of(means: Sequence[Mean]) -> str:
    """Return the flags of some patches that must be said with a figure of theirs."""
    return ", ".join(sorted({flag for m in means for flag in m.flags}))


def missing(told: Told, why: str) -> Estimate:
    """Return an estimate that says why there is none."""
    return Estimate(told.name, math.nan, told.unit, math.nan, note=why, caption=told.caption)


def as_limit(estimate: Estimate, sign: str, value: float) -> Estimate:
    """Turn an estimate into a bound: ``<`` or ``>`` a value."""
    return replace(estimate, value=value, limit=sign)


def evidence_of(
    table: ReadingTable,
    meter: MeterTerms,
    correction: Real | None = None,
    floor_cd_m2: float | None = None,
    record: RecordFacts | None = None,
) -> Evidence:
    """Make a checkpoint ready: unusable and absurd readings out, matrix applied, drift taken out, patches averaged.

    Arguments and errors as ``bare_evidence_of`` has them.
    """
    return drift_taken_out(bare_evidence_of(table, meter, correction, floor_cd_m2, record))


def bare_evidence_of(
    table: ReadingTable,
    meter: MeterTerms,
    correction: Real | None = None,
    floor_cd_m2: float | None = None,
    record: RecordFacts | None = None,
) -> Evidence:
    """Make a checkpoint half ready, with its drift left in and nothing averaged.

    By itself it only tells the others of its panel how well the probe finds its place.

    Args:
        table: all readings of one checkpoint, as stored.
        meter: what is known of the probe.
        correction: 3 x 3 matrix from the probe's X, Y, Z to true ones.
        floor_cd_m2: under it the probe is not trusted.
        record: what panel and record tell besides.

    Raises:
        FileFault: there are more than ``MOST_SHOWINGS`` showings.
    """
    record = record or RecordFacts()
    numbered = _own_numbers(table)
    side = numbered.purpose.isin(SIDE_PURPOSES)
    meant = numbered.where(~side)
    left_out = left_out_of(meant, meter.dark_noise_cd_m2)
    record = replace(record, circumstances=replace(record.circumstances, left_out=left_out))
    raw = _matrixed(_sound(meant, meter), correction)
    spread = spread_of(raw)
    return Evidence(
        table=raw,
        raw=raw,
        meter=meter,
        timeline=_timeline(raw),
        drift=Drift(()),
        drift_factor=still(len(raw), 0),
        drift_dof=math.inf,
        placement=spread or _assumed(meter),
        spread=spread,
        means=(),
        floor_cd_m2=floor_cd_m2 or 0.0,
        stored=len(table),
        left_out=len(meant) - len(raw),
        is_corrected=correction is not None,
        record=record,
        offsets=_offsets(table, numbered, record),
        evenings=evenings_of(numbered),
        dark=_dark(_matrixed(_sound(numbered.where(side), meter), correction)),
    )


def drift_taken_out(bare: Evidence) -> Evidence:
    """Make ready what ``bare_evidence_of`` gave: drift taken out of its readings, patches averaged."""
    drift, tint = fit_drift(bare.raw, _seat(bare.spread, bare.meter)), fit_tint(bare.raw)
    even, factor = _evened(bare.raw, bare.timeline, drift, tint)
    means = tuple(means_of(even, even.patch.groups(), factor))
    unmoved = np.zeros((3, factor.deviates))  # drift is nothing beside the noise of the dark
    return replace(
        bare,
        table=even,
        drift=drift,
        drift_factor=factor,
        drift_dof=min([fit.dof for fit in drift.segments] + [tint.least_dof]),
        means=means,
        noise=pooled_noise(means, bare.meter.dark_noise_cd_m2, drift, tint),
        dark={purpose: replace(mean, drift=unmoved) for purpose, mean in bare.dark.items()},
    )


def _timeline(raw: ReadingTable) -> Timeline:
    """Return the showings of readings; ``FileFault`` where there are too many."""
    timeline = timeline_of(raw)
    if len(timeline) > MOST_SHOWINGS:
        said = f"readings.csv: patches were shown {len(timeline)} times; figures are made of {MOST_SHOWINGS} at most"
        raise FileFault((f"{said}: spread them over several checkpoints",))
    return timeline


def _evened(raw: ReadingTable, timeline: Timeline, drift: Drift, tint: TintDrift) -> tuple[ReadingTable, DriftFactor]:
    """Take drift out of the readings; returns them with how its deviates would move ln X, ln Y, ln Z of each."""
    of_light, moved = drift.in_showings(timeline)
    of_colour, tinted = tint.in_showings(timeline)
    X, Y, Z = (raw.XYZ * np.exp((-of_light[:, None] - of_colour)[timeline.number])).T
    factor = np.concatenate([np.repeat(moved[:, None, :], 3, axis=1), tinted], axis=2)
    return replace(raw, X=X, Y=Y, Z=Z), DriftFactor(timeline.number, factor)


def _seat(spread: Placement | None, meter: MeterTerms) -> Seat:
    known = Seat(spread.u, spread.dof) if spread else Seat(meter.placement)
    return replace(known, u=max(known.u, LEAST_PLACEMENT))


def _assumed(meter: MeterTerms) -> Placement:
    return Placement(meter.placement, math.inf, "assumed")


def put_together(checkpoints: Sequence[Evidence]) -> tuple[Evidence, ...]:
    """Put the checkpoints of a panel in order, oldest first, each with the placement all of its probe tell of."""
    ordered = sorted(checkpoints, key=lambda e: (e.hours, e.name))
    return tuple(_with_placement(e, [o for o in ordered if _one_probe(o, e)]) for e in ordered)


def _one_probe(a: Evidence, b: Evidence) -> bool:
    mine, others = a.circumstances, b.circumstances
    return mine.probe == others.probe or mine.shares_probe(others)


def _with_placement(evidence: Evidence, of_one_probe: Sequence[Evidence]) -> Evidence:
    spreads = [e.spread for e in of_one_probe if e.spread is not None]
    placement = pooled(spreads) if spreads else _assumed(evidence.meter)
    return evidence if placement == evidence.placement else replace(evidence, placement=placement)


def _sound(table: ReadingTable, meter: MeterTerms) -> ReadingTable:
    """Keep the readings that can be light."""
    usable = table.usable()
    return usable.where(possible(usable.XYZ, meter.dark_noise_cd_m2))


def _offsets(table: ReadingTable, numbered: ReadingTable, record: RecordFacts) -> dict[int, Offset]:
    each = np.unique(numbered.visit, return_index=True)[1]
    columns = (table.session[each], table.visit[each], numbered.visit[each])
    places = {*zip(*(column.tolist() for column in columns), strict=True)}
    return {own: record.offsets[s, v] for s, v, own in sorted(places) if (s, v) in record.offsets}


def _dark(side: ReadingTable) -> dict[str, Mean]:
    """Average the readings of the covered probe and of the switched-off screen."""
    unmoved = still(len(side), 0)
    chosen = {purpose: np.flatnonzero(side.purpose == purpose) for purpose in DARK_PURPOSES}
    read = {purpose: rows for purpose, rows in chosen.items() if len(rows)}
    return dict(zip(read, means_of(side, [*read.values()], unmoved), strict=True))


def _own_numbers(table: ReadingTable) -> ReadingTable:
    """Number segments and visits so that none is shared by two sessions, or by two sides of an interruption."""
    segment = np.unique(table.session * 10_000 + table.segment, return_inverse=True)[1].astype(np.int64) + 1
    return replace(table, segment=segment, visit=segment * VISITS_A_SEGMENT + table.visit)


def _matrixed(table: ReadingTable, correction: Real | None) -> ReadingTable:
    if correction is None or len(table) == 0:
        return table
    colour = np.asarray(np.isfinite(table.XYZ).all(axis=1))
    fixed = np.where(colour[:, None], np.nan_to_num(table.XYZ) @ np.asarray(correction, np.float64).T, table.XYZ)
    return replace(table, X=fixed[:, 0], Y=fixed[:, 1], Z=fixed[:, 2])
