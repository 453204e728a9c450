"""Where the probe can be put on a panel: the centre, a grid point, a zone."""

from __future__ import annotations

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
    """Return the grid's places in an order of short ways: row by row, there and back, the centre first."""
    rows: dict[float, list[Place]] = {}
    for point in grid_points(points, panel.width_px, panel.height_px):
        place = centre(panel) if point.name == "x500y500" else Place(point.name, point.at_px)
        rows.setdefault(point.at_px[1], []).append(place)
    listed = [
        place
        for number, row in enumerate(rows.values())
        for place in sorted(row, key=lambda p: p.at_px[0], reverse=number % 2 == 1)
    ]
    return tuple(sorted(listed, key=lambda place: place.name != "centre"))


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
