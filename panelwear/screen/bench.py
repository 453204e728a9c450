"""The bench: every effect that a run or a by-eye check is given."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from groundwork.clock import Clock
from panelwear.screen.contract import Screen
from panelwear.screen.operator import Awaited, Operator
from probe_io.reading import Probe


@dataclass(slots=True)
class Bench:
    """Every effect of a run in one place, passed in."""

    screen: Screen
    clock: Clock
    operator: Operator
    probe: Probe | None = None
    """``None``: the sequence is shown for eye and camera, holds are recorded."""
    awaited: Awaited = field(default_factory=Awaited)
    """What the engine tells a probe that asks a person (``keyboard``) of the reading it waits for."""
    photographer: Callable[..., str] | None = None
    """Goes through a shooting list on this bench and returns the name of the shoot (``run/photographing.py``)."""
