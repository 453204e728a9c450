"""Where each zone lay when it was read: kept with every session, so that a moved zone is told from a changed one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from patterns.frame import Rect
from sequences.model import Zone


@dataclass(frozen=True, slots=True)
class ZonePlace:
    """A zone's rectangle and the probe's place in it, px."""

    rect: Rect
    probe_at_px: tuple[float, float]

    @property
    def said(self) -> str:
        """In words: ``300,200 700 x 400 px (probe at 650,400)``."""
        r, (x, y) = self.rect, self.probe_at_px
        return f"{r.x},{r.y} {r.w} x {r.h} px (probe at {x:g},{y:g})"


def as_recorded(zones: Iterable[Zone]) -> list[dict[str, Any]]:
    """Return zones as a session's record holds them."""
    return [
        {"name": z.name, "rect_px": [z.rect.x, z.rect.y, z.rect.w, z.rect.h], "probe_at_px": list(z.probe_at_px)}
        for z in zones
    ]


def recorded_too(before: Sequence[dict[str, Any]], zones: Iterable[Zone]) -> list[dict[str, Any]]:
    """Return what a resumed session's record holds: what it held, and zones that lie elsewhere by now."""
    return [*before, *(one for one in as_recorded(zones) if one not in before)]


def places_of(sessions: Iterable[Mapping[str, Any]]) -> dict[str, tuple[ZonePlace, ...]]:
    """Return each zone's places, oldest first, from the sessions of ``checkpoint.json``; older records tell none."""
    found: dict[str, dict[ZonePlace, None]] = {}
    for session in sessions:
        for one in session.get("zones") or ():
            x, y = one["probe_at_px"]
            found.setdefault(str(one["name"]), {})[ZonePlace(Rect(*one["rect_px"]), (float(x), float(y)))] = None
    return {name: tuple(places) for name, places in found.items()}
