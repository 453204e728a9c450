"""After the meter was away: read the patch that was broken off again and again until the panel is steady."""

from __future__ import annotations

import math
from collections.abc import Callable, Generator
from dataclasses import replace
from typing import Any

from panelwear.readings.row import Row
from panelwear.run.messages import Message, Tell
from panelwear.run.state import RunState
from sequences.model import Patch

SETTLING = "settling"
READINGS = 12
MORE = 6
AT_MOST = 36
"""Readings of the first look, of each further one, and of all: a minute or so, in which a lit panel comes back."""
Reader = Callable[[Patch, int], Generator[Message, Any, Row | None]]
"""Takes one reading of what is on the screen, as a row of the patch given, with its number."""


def is_watched(state: RunState, patch: Patch, purpose: str) -> bool:
    """Tell whether the panel is to be watched on a patch before it is read.

    Readings of a warm-up judge that themselves; a covered probe and a dark screen show nothing of it.
    """
    if state.unsteady and patch.purpose == "warm-up":
        state.unsteady = False
    return state.unsteady and not purpose and patch.purpose not in {SETTLING, "locate", "control", "black"}


def steady_again(state: RunState, patch: Patch, read: Reader) -> Generator[Message, Any, None]:
    """Read until the settling of ``panelwear.panel.standing`` is over; what still moves then flags all that follows."""
    from panelwear.panel.standing import settle_time

    state.unsteady = False
    yield Tell(f"the panel is watched on {patch.key} until it is steady again")
    own = replace(patch, group=SETTLING, purpose=SETTLING)
    rows: list[Row] = []
    wanted = READINGS
    while len(rows) < AT_MOST:
        for number in range(len(rows) + 1, wanted + 1):
            row = yield from read(own, number)
            if row is None:
                return
            if rows and row.settled_s < rows[-1].settled_s:
                rows.clear()  # it was put up anew: the series begins again
            rows.append(row)
        try:
            found = settle_time([row.settled_s for row in rows], [row.Y_cd_m2 or math.nan for row in rows])
        except ValueError as error:
            yield Tell(f"whether the panel is steady cannot be told from {patch.key}: {error}")
            state.unsteady = True  # the next patch may show it
            return
        if math.isfinite(found.settle_s):
            yield Tell(f"steady again: {found.sentence}")
            return
        wanted += MORE
    state.not_settled = True
    yield Tell(f"{found.sentence} Readings go on and are flagged not-settled.")
