"""Which evening each reading of a checkpoint belongs to: what the probe wanders by between evenings is drawn anew.

A checkpoint may be read in several sessions. Those of one evening share the probe's scale, x and y and filters; those
of another evening have their own, so a patch read on two evenings carries each at half its weight.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from panelwear.figures.evenings import PAUSE_S
from panelwear.figures.means import Mean
from panelwear.readings.table import ReadingTable

VISITS_A_SEGMENT = 10_000
"""A visit's number is its segment's times this, and its own."""


def evenings_of(table: ReadingTable) -> dict[int, int]:
    """Return the evening of each segment of a table, from 0; segments without a time belong to the one before.

    Args:
        table: readings whose segments are numbered through the whole checkpoint.
    """
    found: dict[int, int] = {}
    evening, last_s = 0, math.nan
    for segment in np.unique(table.segment).tolist():
        times = table.time_utc_s[table.segment == segment]
        known = times[np.isfinite(times)]
        if len(known):
            evening += float(known.min()) - last_s > PAUSE_S
            last_s = float(known.max())
        found[int(segment)] = evening
    return found


def evening_shares(means: Sequence[Mean], evenings: Mapping[int, int]) -> NDArray[np.float64]:
    """Return which share of each mean's readings each evening gave, ``(k, evenings)``, rows adding up to 1."""
    listed = [{evenings.get(v // VISITS_A_SEGMENT, 0): 0.0 for v in m.visits} for m in means]
    for own, mean in zip(listed, means, strict=True):
        for visit, share in mean.visits.items():
            own[evenings.get(visit // VISITS_A_SEGMENT, 0)] += share
    columns = sorted({evening for own in listed for evening in own})
    return np.array([[own.get(evening, 0.0) for evening in columns] for own in listed])
