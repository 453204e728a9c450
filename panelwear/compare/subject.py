"""One checkpoint as the comparison takes it, and made ready."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from panelwear.byeye.marks import Mark
from panelwear.byeye.nulls import Null
from panelwear.compare.circumstances import Circumstances
from panelwear.compare.digits import with_step
from panelwear.compare.placement import pooled, spread_of
from panelwear.figures.beside import NOTHING, Beside
from panelwear.figures.evidence import Evidence, evidence_of
from panelwear.figures.means import Placement
from panelwear.readings.table import ReadingTable
from panelwear.uncertainty.meter import DEFAULTS, MeterTerms


@dataclass(frozen=True, slots=True, eq=False)
class Subject:
    """Readings of one checkpoint with what is known of them."""

    table: ReadingTable
    circumstances: Circumstances = field(default_factory=Circumstances)
    meter: MeterTerms = DEFAULTS
    correction: NDArray[np.float64] | None = None
    """3 x 3 matrix from the probe's X, Y, Z to true ones; ``None``: as read."""
    floor_cd_m2: float | None = None
    beside: Beside = NOTHING
    """Where the probe was found to sit, and how much of its aperture narrow zones fill."""
    marks: tuple[Mark, ...] = ()
    nulls: tuple[Null, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Ready:
    """A checkpoint with drift out and patches averaged."""

    subject: Subject
    evidence: Evidence

    @property
    def name(self) -> str:
        """Name of the checkpoint."""
        return self.subject.circumstances.name

    @property
    def hours(self) -> float:
        """Hours of use."""
        return self.subject.circumstances.hours


def made_ready(subjects: Sequence[Subject]) -> tuple[Ready, ...]:
    """Make all checkpoints of a panel ready, oldest first; how well the probe finds its place is learned from all."""
    ordered = sorted(subjects, key=lambda s: (s.circumstances.hours, s.circumstances.name))
    ready = [
        Ready(s, evidence_of(s.table, with_step(s.meter, s.table), s.correction, s.floor_cd_m2, s.beside))
        for s in ordered
    ]
    return tuple(
        replace(r, evidence=replace(r.evidence, placement=_placement([o for o in ready if _one_probe(o, r)])))
        for r in ready
    )  # fmt: skip


def _one_probe(a: Ready, b: Ready) -> bool:
    mine, others = a.subject.circumstances, b.subject.circumstances
    return mine.probe == others.probe or mine.shares_probe(others)


def split_readings(
    subjects: Sequence[Subject],
) -> tuple[tuple[Subject, ...], tuple[Subject, ...], dict[str, tuple[str, ...]]]:
    """Part checkpoints with readings from those that hold only what the eye found, both oldest first.

    Marks and nulls of the latter go to the newest readings there were by then (to the first, where none were).

    Returns:
        Checkpoints with readings, those without, and by name of the former what came to them from where, in words.
    """
    ordered = sorted(subjects, key=lambda s: (s.circumstances.hours, s.circumstances.name))
    read = [s for s in ordered if len(s.table.usable())]
    unread = tuple(s for s in ordered if not len(s.table.usable()))
    notes: dict[str, tuple[str, ...]] = {}
    for one in unread if read else ():
        by_then = [i for i, s in enumerate(read) if s.circumstances.hours <= one.circumstances.hours]
        at = by_then[-1] if by_then else 0
        there, name = read[at].circumstances.name, one.circumstances.name
        said = f"'{name}' holds no readings and is not compared"
        if one.marks or one.nulls:
            said += f"; what the eye found there stands beside the readings of '{there}'"
            read[at] = replace(
                read[at], marks=read[at].marks + one.marks, nulls=_newer_looks(read[at].nulls, one.nulls)
            )
        notes[there] = (*notes.get(there, ()), f"{said}.")
    return tuple(read), unread, notes


def _newer_looks(old: tuple[Null, ...], new: tuple[Null, ...]) -> tuple[Null, ...]:
    """Join nulls; looks after rest are one evening's, so a zone's newer ones take the place of its older ones."""
    again = {n.zone for n in new if n.after_min is not None}
    return tuple(n for n in old if n.after_min is None or n.zone not in again) + new


def _placement(ready: Sequence[Ready]) -> Placement:
    """Return what these checkpoints of one probe tell of its placement; what is assumed where they tell nothing."""
    found = [p for p in (spread_of(r.evidence.raw) for r in ready) if p is not None]
    if found:
        return pooled(found)
    meter = ready[0].subject.meter
    return Placement(meter.placement, math.inf, "assumed")
