"""Have the probe put to a place: a visit begins."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from panelwear.run.messages import Bell, Message, MoveProbe, Show, Wait
from panelwear.run.state import RunState
from panelwear.run.steps.find_probe import find_probe, target_frame
from sequences.model import PutProbe

_CONTACT_S = 10.0
"""The probe warms and presses the spot it is put on; then it has calmed down (common practice, no source)."""


def put_probe(step: PutProbe, state: RunState) -> Generator[Message, Any, None]:
    """Show the target and wait until the person says that the probe sits there."""
    moved = state.place is None or state.place != step.place or step.lift_first
    state.visit = step.visit
    if not state.has_probe or not moved:
        state.place = step.place
        return
    yield Bell()
    yield Show(target_frame(state, step.place))
    again = state.place is not None and state.place == step.place
    verb = "lift the probe and put it back" if again else "put the probe"
    yield MoveProbe(step.place, f"{verb} on the target at '{step.place.name}', flat on the glass without pressing")
    state.place = step.place
    if not state.unattended:
        yield Wait(_CONTACT_S, card=state.overlay)
    if state.locate:
        yield from find_probe(step, state)
