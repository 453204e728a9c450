"""Where the probe can be put on a panel: the centre, a grid point, a zone."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence

from groundwork.tables import nearest
from patterns import grid_points
from sequences.errors import SequenceError
from sequences.keys import CENTRE, MIDDLE, thousandths
from sequences.model import PanelFacts, Place, Zone


def centre(panel: PanelFacts) -> Place:
    """Return the panel's centre."""
    return Place("centre", (panel.width_px / 2, panel.height_px / 2))


def named(name: str, panel: PanelFacts) -> Place:
    """Return the place a name stands for; ``SequenceError`` when the panel has none."""
    at = thousandths(name or CENTRE)
    if at == MIDDLE:
        return centre(panel)
    if at is not None:
        x, y = (part / 1000 for part in at)
        return _on_panel(Place(name, (x * panel.width_px, y * panel.height_px)), panel)
    for zone in panel.zones:
        if zone.name == name:
            return of_zone(zone, panel)
    known = ["centre", *(zone.name for zone in panel.zones)]
    raise SequenceError((f"place: '{name}' is no zone of this panel; {nearest(name, known)}",))


def of_zone(zone: Zone, panel: PanelFacts) -> Place:
    """Return the place of a zone."""
    return _on_panel(Place(zone.name, zone.probe_at_px), panel)


def grid(points: int, panel: PanelFacts) -> tuple[Place, ...]:
    """Return the grid's places in an order of short ways: the centre first, then round the others."""
    found = [
        centre(panel) if point.name == "x500y500" else Place(point.name, point.at_px)
        for point in grid_points(points, panel.width_px, panel.height_px)
    ]
    pitch = (panel.active_area_mm[0] / panel.width_px, panel.active_area_mm[1] / panel.height_px)
    return short_way(sorted(found, key=lambda place: place.name != "centre"), pitch)


def at_mm(place: Place, pitch_mm: tuple[float, float]) -> tuple[float, float]:
    """Return where a place is on the panel, in mm from its top left corner; ``pitch_mm``: of a pixel."""
    return place.at_px[0] * pitch_mm[0], place.at_px[1] * pitch_mm[1]


def way_length(on_way: Iterable[tuple[float, float]]) -> float:
    """Return how far it is from the first point to the last, in straight lines, in the points' unit."""
    return sum(math.dist(one, other) for one, other in itertools.pairwise(on_way))


def short_way(listed: Sequence[Place], pitch_mm: tuple[float, float]) -> tuple[Place, ...]:
    """Order places by a short way of the hand: always to the nearest next, then turned round where that shortens it.

    Args:
        listed: The first stays first; of equal ways the order they stand in decides.
        pitch_mm: Of a pixel, across and down.
    """
    at = {place: at_mm(place, pitch_mm) for place in listed}
    way, left = [*listed[:1]], [*listed[1:]]
    while left:
        nearest = min(left, key=lambda place: round(math.dist(at[way[-1]], at[place]), 6))
        left.remove(nearest)
        way.append(nearest)

    def length(order: Sequence[Place]) -> float:
        return way_length([at[place] for place in order])

    shorter = True
    while shorter:  # 2-opt (Croes 1958): a stretch walked the other way round
        shorter = False
        for first in range(1, len(way) - 1):
            for last in range(first + 1, len(way)):
                turned = [*way[:first], *reversed(way[first : last + 1]), *way[last + 1 :]]
                if length(turned) < length(way) - 1e-6:
                    way, shorter = turned, True
    return tuple(way)


def _on_panel(place: Place, panel: PanelFacts) -> Place:
    x, y = place.at_px
    if 0 <= x <= panel.width_px and 0 <= y <= panel.height_px:
        return place
    raise SequenceError(
        (
            f"place: '{place.name}' puts the probe at {x:g}, {y:g} px, which does not lie on the panel of"
            f" {panel.width_px} x {panel.height_px} px",
        )
    )
