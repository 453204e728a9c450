"""Close in on a wanted luminance with trial readings before the counted ones."""

from __future__ import annotations

import math
from collections.abc import Generator
from dataclasses import replace
from typing import Any

from panelwear.panel.resolve import Resolved
from panelwear.run.messages import Message, Tell
from panelwear.run.state import RunState
from panelwear.run.steps.target import Target, one_reading, show_settled

TRIAL = "trial"


def close_in(state: RunState, target: Target) -> Generator[Message, Any, Target]:
    """Read, correct, at most three times; return the target at the codes closed in on.

    The trial readings are rows of their own group and purpose, so no figure takes them for the patch.
    """
    from panelwear.panel.measured import ASSUMED_NOISE
    from panelwear.panel.refine import refine, trial_readings
    from panelwear.panel.resolve import hue_codes
    from panelwear.panel.response import MEASURED

    patch, wanted = target.patch, target.resolved.target_cd_m2
    if not patch.refine or wanted is None or target.resolved.out_of_reach:
        return target
    curve = state.resolver.response_for(patch)[0].curve(patch.hue)
    noise = state.noise or ASSUMED_NOISE
    count = trial_readings(wanted, curve, noise, between_codes=patch.between_codes)
    trial = replace(patch, group=TRIAL, purpose=TRIAL)
    steps = refine(wanted, curve, between_codes=patch.between_codes)
    code = next(steps)
    while True:
        resolved = Resolved(hue_codes(patch.hue, code), wanted, target.resolved.level_basis)
        luminance = yield from _trial(state, replace(target, patch=trial, resolved=resolved), count)
        try:
            code = steps.send(luminance)
        except StopIteration as end:
            found = end.value
            break
    if found.sentence:
        yield Tell(f"{patch.key}: {found.sentence}")
    basis = MEASURED if found.trials else target.resolved.level_basis
    closed = Resolved(hue_codes(patch.hue, found.code), wanted, basis, out_of_reach=_at_an_end(found))
    return replace(target, resolved=closed)


def _at_an_end(found: Any) -> bool:
    return not found.met and found.code in {0.0, 255.0}


def _trial(state: RunState, target: Target, count: int) -> Generator[Message, Any, float]:
    shown = yield from show_settled(state, target)
    values = []
    for repeat in range(1, count + 1):
        row = yield from one_reading(state, target, shown, repeat)
        if row is not None and row.Y_cd_m2 is not None:
            values.append(row.Y_cd_m2)
    return sum(values) / len(values) if values else math.nan
