"""The probe's way over the panel as a page: the outline, each placement with its number, the way between them."""

from __future__ import annotations

from collections.abc import Iterable

from panelwear.screen.page import Dot, Drawing, Page, Stroke, Words
from panelwear.telling.words import counted
from sequences.model import PanelFacts, Step
from sequences.route import stops, way_mm


def route_drawing(steps: Iterable[Step], panel: PanelFacts) -> Drawing:
    """Draw the placements of a session to scale; several at one place share a disc and its label.

    Args:
        steps: Of the session.
        panel: Its size, and the probe's aperture where that is known.
    """
    wide, high = panel.active_area_mm
    found = [(stop.number, (stop.at_mm[0] / wide, stop.at_mm[1] / high)) for stop in stops(steps, panel)]
    at: dict[tuple[float, float], list[int]] = {}
    for number, where in found:
        at.setdefault(where, []).append(number)
    radius = max(0.006, (panel.aperture_mm or 10.0) / 2 / wide)
    way = (Stroke(tuple(where for _, where in found), arrow=True),) if len(at) > 1 else ()
    dots = (Dot(where, radius, label=", ".join(map(str, numbers))) for where, numbers in at.items())
    return Drawing((*way, *dots), aspect=wide / high, height_share=0.55)


def route_page(name: str, steps: Iterable[Step], panel: PanelFacts) -> Page:
    """Make the page that shows a sequence's route before it is run."""
    steps = tuple(steps)
    route = stops(steps, panel)
    far = f", the hand goes {way_mm(route) / 1000:.1f} m" if len(route) > 1 else ""
    said = f"{counted(len(route), 'placement')} of the probe{far}."
    return Page(f"The probe's way: {name}", (Words(said), route_drawing(steps, panel)), keys=(("Escape", "back"),))
