"""The step kinds, one file each: a step is a generator that yields messages to the engine."""

from __future__ import annotations

from collections.abc import Callable, Generator
from typing import Any

from panelwear.engine.messages import Message
from panelwear.engine.session import Session
from panelwear.engine.steps.ask import ask
from panelwear.engine.steps.close_look import close_look
from panelwear.engine.steps.hold import hold
from panelwear.engine.steps.put_probe import put_probe
from panelwear.engine.steps.read import read
from panelwear.engine.steps.room import room
from panelwear.engine.steps.warm_up import warm_up
from sequences.model import Ask, CloseLook, Hold, PutProbe, Read, Room, Step, WarmUp

KINDS: dict[type, Callable[[Any, Session], Generator[Message, Any, None]]] = {
    Ask: ask,
    WarmUp: warm_up,
    Room: room,
    PutProbe: put_probe,
    Read: read,
    Hold: hold,
    CloseLook: close_look,
}


def begin(step: Step, session: Session) -> Generator[Message, Any, None]:
    """Return the generator of one step."""
    return KINDS[type(step)](step, session)
