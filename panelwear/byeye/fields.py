"""From a sequence to the walk's fields, and from a field to its frame and its light."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from panelwear.byeye.views import Stop
from panelwear.panel.curve import Curve
from panelwear.panel.resolve import LevelResolver, Resolver, hue_codes
from patterns import build
from patterns.frame import BLACK, Frame
from sequences.model import Hold, Level, Patch, Place, Step

DARK_ADAPTED_MIN = 20.0


def walk_stops(steps: Iterable[Step], resolver: Resolver, adapted_min: float) -> tuple[Stop, ...]:
    """Return the fields of a sequence's holds; near-black ones first for dark-adapted eyes, else last."""
    held = {s.patch.key: s.patch for s in steps if isinstance(s, Hold)}
    near_black = [p for p in held.values() if p.purpose == "near-black"]
    others = [p for p in held.values() if p.purpose != "near-black"]
    order = [*near_black, *others] if adapted_min >= DARK_ADAPTED_MIN else [*others, *near_black]
    return tuple(Stop(p.key, p.hue, max(resolver.resolve(p).codes), p.pattern, p.parameters) for p in order)


@dataclass(frozen=True, slots=True)
class Fields:
    """Builds frames for this screen and knows their light."""

    width: int
    height: int
    resolver: LevelResolver

    def frame(self, stop: Stop) -> Frame:
        """Return a stop's frame."""
        codes = hue_codes(stop.hue, stop.code)
        if stop.steps:
            return build("field", self.width, self.height, codes=codes)
        parameters: dict[str, Any] = dict(stop.parameters)
        return build(stop.pattern, self.width, self.height, codes=codes, **parameters)

    def curve(self, hue: str) -> tuple[Curve, str]:
        """Return the response of full fields of a hue, and whether it is measured or assumed."""
        middle = Place("centre", (self.width / 2, self.height / 2))
        asked = Patch("field", middle, "grey", Level("code", 128), "full", "by-eye", "field", background=BLACK)
        response, basis = self.resolver.response_for(asked)
        return response.curve(hue), basis

    def light(self, stop: Stop) -> tuple[float | None, str]:
        """Return a stop's luminance in cd/m² (``None`` for a ramp) and what it rests on."""
        curve, basis = self.curve(stop.hue)
        return (curve.luminance(stop.code) if stop.steps else None), basis
