"""What the walk is made of, and what it tells its surroundings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from panelwear.readings.marks import Drawn
from panelwear.screen.contract import Card
from patterns.frame import Rect

CHANNELS: tuple[str, ...] = ("grey", "red", "green", "blue")


@dataclass(frozen=True, slots=True)
class Stop:
    """One field of the walk."""

    name: str
    hue: str
    code: float
    pattern: str = "field"
    """``field``, or a pattern that has no one level (a ramp)."""
    parameters: tuple[tuple[str, object], ...] = ()

    @property
    def steps(self) -> bool:
        """Whether its level can be stepped."""
        return self.pattern == "field"


@dataclass(frozen=True, slots=True)
class Sight:
    """A mark being made or made: where, on which field, what and how strong."""

    stop: Stop
    drawn: Drawn
    blind: bool
    kind: str = ""
    strength: str = ""
    note: str = ""
    zone: str = ""


@dataclass(frozen=True, slots=True)
class Target:
    """Something that can be matched."""

    name: str
    rect: Rect


@dataclass(frozen=True, slots=True)
class Request:
    """What the walk wants done by whoever has files and a screen."""

    kind: Literal["marks-changed", "match", "zone", "leave"]
    target: Target | None = None
    method: str = ""
    number: int = -1
    """Index of the mark that becomes a zone."""
    name: str = ""


@dataclass(frozen=True, slots=True)
class View:
    """What is to be on the screen now."""

    stop: Stop
    card: Card | None
    outlines: tuple[tuple[int, int, int, int], ...]
