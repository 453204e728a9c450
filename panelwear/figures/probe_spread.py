"""What the readings themselves tell of the probe: how well it finds its place again, and the step of its last digit.

A meter that rounds repeats itself to the last digit: its readings then have no scatter, and without the rounding they
would look perfect. The place is learned from places the probe was put to more than once.

Model: ln Y = level of (session, place) + slope of the session x time + one draw for each placement. Readings with drift
left in are used: over the minutes between two placements a drift that was fitted inside single placements would add
more than it takes out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from panelwear.figures.means import Placement
from panelwear.panel.drift import LEAST_CD_M2
from panelwear.readings.labels import grouped
from panelwear.readings.table import ReadingTable
from panelwear.uncertainty.meter import MeterTerms
from panelwear.uncertainty.rounding import LearnedTerms, Rounding, rounding_of

LEAST_SPARE = 3
"""Degrees of freedom that must be left for a slope to be fitted."""
FINEST = 4
"""Digits after the point up to which a step is looked for; what is finer is no rounding a person would notice."""
COARSEST = -1


def spread_of(raw: ReadingTable) -> Placement | None:
    """Return the standard deviation of one placement, as a share of luminance; ``None`` when nothing can tell.

    Args:
        raw: usable readings of one checkpoint, drift left in.
    """
    visits: list[_Visit] = []
    sessions = np.unique(raw.session)
    for session in sessions:
        rows = np.flatnonzero(raw.session == session)
        for place in raw.place[rows].there():
            visits += _of_place(raw, rows[raw.place[rows] == place], (int(session), place))
    places = list(dict.fromkeys(v.seat for v in visits))
    if len(visits) == len(places):
        return None
    level = np.array([[v.seat == place for place in places] for v in visits], dtype=np.float64)
    slope = np.array([[v.at_s / 60 * (v.seat[0] == session) for session in sessions] for v in visits])
    # A slope costs a degree of freedom; with so few placements that is worth more than a warm panel's drift.
    affordable = len(visits) - len(places) - len(sessions) >= LEAST_SPARE
    design = np.hstack([level, slope]) if affordable else level
    logs = np.array([v.log_Y for v in visits])
    solution, _, rank, _ = np.linalg.lstsq(design, logs, rcond=1e-9)
    spare = len(visits) - int(rank)
    if spare < 1:
        return None
    left = float(((logs - design @ solution) ** 2).sum())
    return Placement(math.sqrt(left / spare), spare, f"from {len(visits)} placements at {len(places)} places")


@dataclass(frozen=True, slots=True)
class _Visit:
    """One placement at one place."""

    seat: tuple[int, str]
    """Session and place."""
    at_s: float
    """Mean time, from the middle of the visits of this place."""
    log_Y: float
    """Mean ln Y over the patches all visits of the place read."""


def _of_place(raw: ReadingTable, rows: NDArray[np.intp], seat: tuple[int, str]) -> list[_Visit]:
    """Return each placement at a place that was visited more than once; ``rows``: those of ``raw`` read there."""
    visits = grouped(raw.visit[rows])
    if len(visits) < 2:
        return []
    per_visit = []
    for mine in (rows[visit] for visit in visits):
        patches = (mine[alike] for alike in grouped(raw.patch.codes[mine]))
        means = {raw.patch[own[0]]: float(raw.Y[own].mean()) for own in patches}
        per_visit.append((float(raw.monotonic_s[mine].mean()), means))
    shared = set.intersection(*(set(means) for _, means in per_visit))
    bright = [key for key in shared if all(means[key] > LEAST_CD_M2 for _, means in per_visit)]
    if not bright:
        return []
    middle = float(np.mean([time for time, _ in per_visit]))
    # In the order of the keys, so that the sum is the same to the last bit every time.
    return [
        _Visit(seat, time - middle, float(np.mean([math.log(means[key]) for key in sorted(bright)])))
        for time, means in per_visit
    ]


def pooled(found: Sequence[Placement]) -> Placement:
    """Pool the spreads of several checkpoints of one probe and one hand.

    Both sides of a comparison then share one spread; their degrees of freedom are halved, so that the two together
    weigh as much as was learned (Welch-Satterthwaite takes them for independent).
    """
    dof = sum(p.dof for p in found)
    u = math.sqrt(sum(p.dof * p.u**2 for p in found) / dof)
    note = found[0].note if len(found) == 1 else f"from placements at {len(found)} checkpoints"
    return Placement(u, dof if len(found) == 1 else dof / 2, note)


def step_of(table: ReadingTable) -> float:
    """Return the step in cd/m² that all luminances are whole multiples of, or 0 where there is none to be seen."""
    Y = table.usable().Y
    if len(Y) < 2:
        return 0.0
    for places in range(COARSEST, FINEST + 1):
        if (np.abs(np.round(Y, places) - Y) <= 1e-9).all():
            return float(10.0**-places)
    return 0.0


def with_step(meter: MeterTerms, table: ReadingTable) -> MeterTerms:
    """Return the probe's terms with the resolution its readings show, where none or a finer one is stated."""
    step = step_of(table)
    if step > meter.resolution_cd_m2:
        meter = replace(meter, resolution_cd_m2=step)
    learned = rounding_of(table.usable().XYZ)
    stated = {f.name: getattr(meter, f.name) for f in fields(MeterTerms)}
    return meter if learned == Rounding() else LearnedTerms(**stated, rounding=learned)
