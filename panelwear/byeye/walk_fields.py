"""The fields of the walk, what is seen and marked on them, and their frames and light on this screen."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from panelwear.panel.curve import Curve
from panelwear.panel.resolve import LevelResolver, Resolver, hue_codes
from panelwear.readings.marks import MarkShape
from panelwear.screen.contract import Card
from patterns import build
from patterns.frame import BLACK, Frame, Rect
from sequences.model import Hold, Level, Patch, Place, Step

DARK_ADAPTED_MIN = 20.0
CHANNELS: tuple[str, ...] = ("grey", "red", "green", "blue")


@dataclass(frozen=True, slots=True)
class WalkField:
    """One field of the walk."""

    name: str
    hue: str
    code: float
    pattern: str = "field"
    """``field``, or a pattern that has no one level (a ramp)."""
    parameters: tuple[tuple[str, object], ...] = ()

    @property
    def has_level(self) -> bool:
        """Whether it has one level, which can be stepped."""
        return self.pattern == "field"


@dataclass(frozen=True, slots=True)
class Sight:
    """A mark being made or made: where, on which field, what and how strong."""

    field: WalkField
    drawn: MarkShape
    blind: bool
    kind: str = ""
    strength: str = ""
    note: str = ""
    zone: str = ""
    number: int = 0
    """Number of the mark; kept when others are taken back."""


@dataclass(frozen=True, slots=True)
class OlderMark:
    """A mark that an earlier session of this checkpoint made."""

    number: int
    kind: str
    strength: str
    target: MatchTarget | None = None
    """Where it can be matched; ``None`` where it has become a zone."""


@dataclass(frozen=True, slots=True)
class WalkState:
    """Where a walk stands, so that the next session can go on with it."""

    at: str = ""
    """Name of the field on the screen."""
    seen: tuple[str, ...] = ()
    """Names of the fields that were on the screen."""
    earlier_shown: bool = False
    """Whether last time's marks were shown: what is marked later is not blind."""


@dataclass(frozen=True, slots=True)
class MatchTarget:
    """Something that can be matched."""

    name: str
    rect: Rect


@dataclass(frozen=True, slots=True)
class WalkRequest:
    """What the walk wants done by whoever has files and a screen."""

    kind: Literal["marks-changed", "match", "zone", "take-back", "put-back", "leave"]
    target: MatchTarget | None = None
    method: str = ""
    number: int = -1
    """Index of the mark that becomes a zone; number of the earlier session's mark that is taken back or put back."""
    name: str = ""


@dataclass(frozen=True, slots=True)
class WalkView:
    """What is to be on the screen now."""

    field: WalkField
    card: Card | None
    outlines: tuple[tuple[int, int, int, int], ...]


def left_off(sessions: Sequence[Mapping[str, Any]]) -> WalkState | None:
    """Return where the last walk of a checkpoint's sessions stood; ``None`` where there was none before.

    What a person has changed in the record into something else is taken for none.
    """
    for session in reversed(sessions):
        walk = session.get("walk")
        if isinstance(walk, dict) and isinstance(walk.get("seen"), list):
            seen = tuple(name for name in walk["seen"] if isinstance(name, str))
            return WalkState(str(walk.get("at", "")), seen, walk.get("earlier_shown") is True)
    return None


def fields_of(steps: Iterable[Step], resolver: Resolver, adapted_min: float) -> tuple[WalkField, ...]:
    """Return the fields of a sequence's holds; near-black ones first for dark-adapted eyes, else last."""
    held = {s.patch.key: s.patch for s in steps if isinstance(s, Hold)}
    near_black = [p for p in held.values() if p.purpose == "near-black"]
    others = [p for p in held.values() if p.purpose != "near-black"]
    order = [*near_black, *others] if adapted_min >= DARK_ADAPTED_MIN else [*others, *near_black]
    return tuple(WalkField(p.key, p.hue, max(resolver.resolve(p).codes), p.pattern, p.parameters) for p in order)


@dataclass(frozen=True, slots=True)
class FieldFrames:
    """Builds frames for this screen and knows their light."""

    width: int
    height: int
    resolver: LevelResolver

    def frame(self, field: WalkField) -> Frame:
        """Return a field's frame."""
        codes = hue_codes(field.hue, field.code)
        if field.has_level:
            return build("field", self.width, self.height, codes=codes)
        parameters: dict[str, Any] = dict(field.parameters)
        return build(field.pattern, self.width, self.height, codes=codes, **parameters)

    def curve(self, hue: str) -> tuple[Curve, str]:
        """Return the response of full fields of a hue, and whether it is measured or assumed."""
        middle = Place("centre", (self.width / 2, self.height / 2))
        asked = Patch("field", middle, "grey", Level("code", 128), "full", "by-eye", "field", background=BLACK)
        response, basis = self.resolver.response_for(asked)
        return response.curve(hue), basis

    def light(self, field: WalkField) -> tuple[float | None, str]:
        """Return a field's luminance in cd/m² (``None`` for a ramp) and what it rests on."""
        curve, basis = self.curve(field.hue)
        return (curve.luminance(field.code) if field.has_level else None), basis
