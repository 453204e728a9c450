"""Have the probe put to a place: a visit begins."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from panelwear.engine.messages import Bell, Message, MoveProbe, Show, Wait
from panelwear.engine.session import Session
from panelwear.engine.steps.find_probe import find_probe, target_frame
from sequences.model import PutProbe

_CONTACT_S = 10.0
"""The probe warms and presses the spot it is put on; then it has calmed down (common practice, no source)."""


def put_probe(step: PutProbe, session: Session) -> Generator[Message, Any, None]:
    """Show the target and wait until the person says that the probe sits there."""
    moved = session.place is None or session.place != step.place or step.lift_first
    session.visit = step.visit
    if not session.has_probe or not moved:
        session.place = step.place
        return
    yield Bell()
    yield Show(target_frame(session, step.place))
    again = session.place is not None and session.place == step.place
    verb = "lift the probe and put it back" if again else "put the probe"
    yield MoveProbe(step.place, f"{verb} on the target at '{step.place.name}', flat on the glass without pressing")
    session.place = step.place
    if not session.unattended:
        yield Wait(_CONTACT_S, card=session.overlay)
    if session.locate:
        yield from find_probe(step, session)
