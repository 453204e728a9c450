"""How well the probe finds its place again, learned from places it was put to more than once.

Model: ln Y = level of (place, patch) + slope x time + one draw for each placement. Readings with drift left in are
used: over the minutes between two placements a drift fitted inside single placements would add more than it takes out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from panelwear.figures.means import Placement
from panelwear.table import ReadingTable

LEAST_CD_M2 = 0.5
"""Darker patches tell more of the probe's noise than of its place."""


def spread_of(raw: ReadingTable) -> Placement | None:
    """Return the standard deviation of one placement, as a share of luminance; ``None`` when nothing can tell.

    Args:
        raw: usable readings of one checkpoint, drift left in.
    """
    visits: list[tuple[str, float, float]] = []
    for place in dict.fromkeys(raw.place.tolist()):
        visits += _of_place(raw.where(raw.place == place), str(place))
    places = dict.fromkeys(place for place, _, _ in visits)
    spare = len(visits) - len(places) - 1
    if spare < 1:
        return None
    at = list(places)
    time = np.array([t for _, t, _ in visits])
    design = np.zeros((len(visits), len(places) + 1))
    for i, (place, _, _) in enumerate(visits):
        design[i, at.index(place)] = 1
    design[:, -1] = (time - time.mean()) / max(float(np.ptp(time)), 1.0)
    logs = np.array([log for _, _, log in visits])
    solution, _, rank, _ = np.linalg.lstsq(design, logs, rcond=1e-9)
    spare = len(visits) - int(rank)
    if spare < 1:
        return None
    left = float(((logs - design @ solution) ** 2).sum())
    return Placement(math.sqrt(left / spare), spare, f"from {len(visits)} placements at {len(places)} places")


def _of_place(rows: ReadingTable, place: str) -> list[tuple[str, float, float]]:
    """Return place, mean time and mean ln Y of each placement, over the patches all of them read."""
    numbers = np.unique(rows.visit)
    if len(numbers) < 2:
        return []
    per_visit = []
    for number in numbers:
        mine = rows.where(rows.visit == number)
        means = {key: float(mine.Y[mine.patch == key].mean()) for key in dict.fromkeys(mine.patch.tolist())}
        per_visit.append((float(mine.monotonic_s.mean()), means))
    shared = set.intersection(*(set(means) for _, means in per_visit))
    bright = [key for key in shared if all(means[key] > LEAST_CD_M2 for _, means in per_visit)]
    if not bright:
        return []
    return [(place, time, float(np.mean([math.log(means[key]) for key in bright]))) for time, means in per_visit]


def pooled(found: Sequence[Placement]) -> Placement:
    """Pool the spreads of several checkpoints of one probe and one hand.

    Both sides of a comparison then share one spread; their degrees of freedom are halved, so that the two together
    weigh as much as was learned (Welch-Satterthwaite takes them for independent).
    """
    dof = sum(p.dof for p in found)
    u = math.sqrt(sum(p.dof * p.u**2 for p in found) / dof)
    note = found[0].note if len(found) == 1 else f"from placements at {len(found)} checkpoints"
    return Placement(u, dof if len(found) == 1 else dof / 2, note)
