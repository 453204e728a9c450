"""The step of the last digit, read off the readings themselves.

A meter that rounds repeats itself to the last digit: its readings then have no scatter, and without the rounding they
would look perfect.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from panelwear.readings.table import ReadingTable
from panelwear.uncertainty.meter import MeterTerms

FINEST = 4
"""Digits after the point up to which a step is looked for; what is finer is no rounding a person would notice."""
COARSEST = -1


def step_of(table: ReadingTable) -> float:
    """Return the step in cd/m² that all luminances are whole multiples of, or 0 where there is none to be seen."""
    Y = table.usable().Y
    if len(Y) < 2:
        return 0.0
    for places in range(COARSEST, FINEST + 1):
        if np.allclose(np.round(Y, places), Y, rtol=0, atol=1e-9):
            return float(10.0**-places)
    return 0.0


def with_step(meter: MeterTerms, table: ReadingTable) -> MeterTerms:
    """Return the probe's terms with the resolution its readings show, where none or a finer one is stated."""
    step = step_of(table)
    return replace(meter, resolution_cd_m2=step) if step > meter.resolution_cd_m2 else meter
