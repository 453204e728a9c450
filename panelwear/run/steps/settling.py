"""Measure once a session how long a patch needs to settle after a big change."""

from __future__ import annotations

import math
from collections.abc import Generator
from dataclasses import replace
from typing import Any

from panelwear.readings.row import Row
from panelwear.run.messages import Keep, Message, Show, Tell, Wait
from panelwear.run.state import RunState
from panelwear.run.steps.target import Target, TooBrightError, one_reading
from panelwear.screen.contract import Shown
from patterns.frame import BLACK
from sequences.model import Patch

READINGS = 12
BLACK_S = 3.0
LONGEST_S = 10.0
"""A panel that needs longer than this has something else going on; the sequence's own waits stand then."""
SETTLING = "settling"


def measure_settling(state: RunState, patch: Patch) -> Generator[Message, Any, None]:
    """Change from black to a patch, read at once and on, store the settling time, and use it from now on."""
    from panelwear.panel.standing import settle_time

    if SETTLING in state.facts:
        state.settle_s = float(state.facts[SETTLING].get("settle_s") or 0.0)
        return
    own = replace(patch, group=SETTLING, purpose=SETTLING)
    yield Show(state.frame_of(own, BLACK))
    yield Wait(BLACK_S)
    target = Target(own, state.resolve(own))
    shown: Shown = yield Show(state.frame_of(own, target.resolved.codes))
    rows: list[Row] = []
    try:
        for repeat in range(1, READINGS + 1):
            row = yield from one_reading(state, target, shown, repeat)
            if row is not None:
                rows.append(row)
    except TooBrightError as error:
        yield Tell(f"settling time: {error}; the sequence's own waits are used")
        return
    times = [row.settled_s for row in rows]
    if times != sorted(times):
        yield Tell("settling time: the series was interrupted; the sequence's own waits are used")
        return
    try:
        found = settle_time(times, [row.Y_cd_m2 or math.nan for row in rows])
    except ValueError as error:
        yield Tell(f"settling time: {error} The sequence's own waits are used.")
        return
    used = found.settle_s if found.settle_s <= LONGEST_S else 0.0
    state.settle_s = used
    yield Keep(SETTLING, {"settle_s": used, "sentence": found.sentence, "tolerance": found.tolerance_rel})
    yield Tell(found.sentence)
