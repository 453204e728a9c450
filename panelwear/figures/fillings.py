"""How much of the probe's aperture a narrow zone, or the strips that stand for it, fill."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Protocol

from panelwear.panel.aperture import filled_by_rect
from panelwear.readings.by_column import ByColumn
from patterns.frame import Rect
from sequences.keys import PairKey
from sequences.model import PanelFacts

ASIDE_MM = 0.3
"""How far a probe lands beside its place (common practice, no source)."""
DIAMETER = 0.02
"""Relative uncertainty of the aperture's diameter, as ``locate`` finds it or a maker states it."""
FULL = 0.999
"""Share above which an aperture counts as filled."""


@dataclass(frozen=True, slots=True)
class Filling:
    """How much of the aperture the seats of a zone's quadruple fill, the aperture taken as a uniform disc."""

    own: float
    """Share the zone, or the strip in it, fills."""
    other: float
    """Share the reference, or the strips that stand for it, fill on average."""
    u_balance: float
    """Standard uncertainty of ln(own / other): where the probe lands, how wide it sees."""
    in_place: bool
    """Strips beside the zone stand for its reference, and the probe was not moved."""
    strip_mm: float = 0.0
    """Width of the strip; 0 where a field was shown."""
    u_aside: float = 0.0
    """The part of ``u_balance`` from where the probe lands: new at every checkpoint, unlike the aperture's diameter."""

    @property
    def u_diameter(self) -> float:
        """The part of ``u_balance`` that one probe brings to every checkpoint alike: how wide it sees."""
        return math.sqrt(max(self.u_balance**2 - self.u_aside**2, 0.0))


class Seat(Protocol):
    """What a row of ``readings.csv`` tells of where the probe sat."""

    @property
    def pair(self) -> str:
        """Zone and position in its quadruple, empty outside one."""

    @property
    def place(self) -> str:
        """Where it sat."""

    @property
    def pattern(self) -> str:
        """What was shown."""

    @property
    def rect_px(self) -> str:
        """Where: left top width height."""


@dataclass(frozen=True, slots=True)
class _Seated:
    """A seat out of columns."""

    pair: str
    place: str
    pattern: str
    rect_px: str


def seats_of(columns: ByColumn) -> list[Seat]:
    """Return the first row of each seat."""
    held = [columns.texts[f.name] for f in fields(_Seated)]
    return [_Seated(*(column[row] for column in held)) for row in columns.texts["pair"].first_rows().tolist()]


def fillings_of(rows: Sequence[Seat], panel: PanelFacts) -> dict[str, Filling]:
    """Return how much of the aperture each zone's seats fill, for zones that do not fill it.

    Args:
        rows: all rows of a checkpoint, or the first of each seat.
        panel: with its zones and the probe's aperture.
    """
    seats: dict[str, dict[PairKey, Seat]] = {}
    for row in rows:
        if seat := PairKey.parse(row.pair):
            seats.setdefault(seat.zone, {}).setdefault(seat, row)
    if panel.aperture_mm is None:
        return {}
    found = {}
    for zone, by_seat in seats.items():
        own = [row for seat, row in by_seat.items() if seat.is_own]
        other = [row for seat, row in by_seat.items() if not seat.is_own]
        filling = _filling(own, other, panel) if own and other else None
        if filling is not None and min(filling.own, filling.other) < FULL:
            found[zone] = filling
    return found


def _filling(own: Sequence[Seat], other: Sequence[Seat], panel: PanelFacts) -> Filling | None:
    if any(row.place not in {zone.name for zone in panel.zones} for row in (*own, *other)):
        return None
    width = panel.aperture_mm or 0.0
    in_place = own[0].pattern == "strip" and own[0].place == other[0].place

    def balance(aside_mm: float = 0.0, diameter_mm: float = width) -> tuple[float, float]:
        # A probe that is not moved sits beside the zone and beside its strips by the same way.
        beside_mm = aside_mm if in_place else 0.0
        return (
            sum(_share(row, panel, diameter_mm, aside_mm) for row in own) / len(own),
            sum(_share(row, panel, diameter_mm, beside_mm) for row in other) / len(other),
        )

    a, b = balance()
    moved = [balance(aside_mm=ASIDE_MM), balance(diameter_mm=width * (1 + DIAMETER))]
    if min(a, b, *(min(pair) for pair in moved)) <= 0:
        return None
    aside, wider = (abs(math.log(c / d) - math.log(a / b)) for c, d in moved)
    strip_mm = min(_mm(_rect(own[0]), panel)[2:]) if own[0].pattern == "strip" else 0.0
    return Filling(a, b, math.hypot(aside, wider), in_place, strip_mm, aside)


def _share(row: Seat, panel: PanelFacts, diameter_mm: float, aside_mm: float) -> float:
    """Return the share of the aperture that the lit strip, or else the zone, fills when the probe sits aside of it."""
    zone = next(zone for zone in panel.zones if zone.name == row.place)
    x, y, w, h = _mm(_rect(row) if row.pattern == "strip" else zone.rect, panel)
    across, down = _pitch_mm(panel)
    at = (zone.probe_at_px[0] * across, zone.probe_at_px[1] * down)
    at = (at[0] + aside_mm, at[1]) if w <= h else (at[0], at[1] + aside_mm)
    return filled_by_rect((x, y, w, h), at, diameter_mm)


def _rect(row: Seat) -> Rect:
    x, y, w, h = (int(float(part)) for part in row.rect_px.split())
    return Rect(x, y, w, h)


def _mm(rect: Rect, panel: PanelFacts) -> tuple[float, float, float, float]:
    across, down = _pitch_mm(panel)
    return rect.x * across, rect.y * down, rect.w * across, rect.h * down


def _pitch_mm(panel: PanelFacts) -> tuple[float, float]:
    return panel.active_area_mm[0] / panel.width_px, panel.active_area_mm[1] / panel.height_px
