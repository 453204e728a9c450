"""What the engine is given: the bench (all effects) and how levels become drive codes."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

from panelwear.clock import Clock
from panelwear.readings.row import Row
from panelwear.screen.contract import Screen
from panelwear.screen.operator import Awaited, Operator
from patterns.frame import Codes
from probe_io.reading import Probe
from sequences.model import Patch

if TYPE_CHECKING:
    from panelwear.panel.response import Response


@dataclass(frozen=True, slots=True)
class Resolved:
    """A patch's level as drive codes."""

    codes: Codes
    target_cd_m2: float | None
    """The wanted luminance; ``None`` for a patch asked for by code."""
    level_basis: str
    """``code``, ``measured-response`` or ``assumed-response``: what stands in the CSV."""
    out_of_reach: bool = False
    """The level lies outside what the panel can show; ``codes`` are the nearest it can."""


class Resolver(Protocol):
    """Turns levels into codes through a response."""

    def resolve(self, patch: Patch) -> Resolved:
        """Find the codes for one patch; never raises for a level out of reach."""
        ...

    def learn(self, response: Response) -> None:
        """Use a response from now on; it replaces an older one of the same geometry."""
        ...

    def response_for(self, patch: Patch) -> tuple[Response, str]:
        """Return the response used for a patch and its ``level_basis``."""
        ...


class Journal(Protocol):
    """Where rows go; each is on the disk before ``append`` returns."""

    def append(self, row: Row) -> None:
        """Store one row."""
        ...


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
