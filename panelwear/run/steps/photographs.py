"""Photographs of the panel by a shooting list."""

from __future__ import annotations

from collections.abc import Generator
from typing import Any

from panelwear.run.learned import learn
from panelwear.run.messages import Keep, Message, Photograph, Tell
from panelwear.run.state import RunState
from sequences.model import Shoot


def shoot(step: Shoot, state: RunState) -> Generator[Message, Any, None]:
    """Photograph the panel, by what is known of its response up to now."""
    if state.off_screen:
        yield Tell(f"photographs by the list {step.list_name}: nobody sees this screen, they are left out")
        return
    yield from learn(state)
    name: str = yield Photograph(step.list_name, step.poses)
    state.resettle = True
    yield Keep("held", [*state.facts.get("held", []), {"step": step.number, "shoot": name}])
