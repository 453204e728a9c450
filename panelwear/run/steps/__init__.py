"""The step kinds: a step is a generator that yields messages to the engine."""

from __future__ import annotations

from collections.abc import Callable, Generator
from typing import Any

from panelwear.run.messages import Message
from panelwear.run.state import RunState
from panelwear.run.steps.holding import hold
from panelwear.run.steps.person import ask, close_look, put_probe
from panelwear.run.steps.photographs import shoot
from panelwear.run.steps.read import read
from panelwear.run.steps.warm_up import warm_up
from panelwear.run.steps.without_light import room
from sequences.model import AskFacts, CloseLook, Hold, PutProbe, Read, Room, Shoot, Step, WarmUp

KINDS: dict[type, Callable[[Any, RunState], Generator[Message, Any, None]]] = {
    AskFacts: ask,
    WarmUp: warm_up,
    Room: room,
    PutProbe: put_probe,
    Read: read,
    Hold: hold,
    Shoot: shoot,
    CloseLook: close_look,
}


def begin(step: Step, state: RunState) -> Generator[Message, Any, None]:
    """Return the generator of one step."""
    return KINDS[type(step)](step, state)
