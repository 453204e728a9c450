"""The probe's way over the panel as a page: the outline, each placement with its number, the way between them."""

from __future__ import annotations

from collections.abc import Iterable

from panelwear.screen.page import Box, Dot, Drawing, Page, Stroke, Words
from panelwear.telling.words import counted
from sequences.estimate import plan
from sequences.model import PanelFacts, Step
from sequences.route import stops, way_mm


def route_drawing(steps: Iterable[Step], panel: PanelFacts, height_share: float = 0.55) -> Drawing:
    """Draw the placements of a session to scale; several at one place share a disc and its label.

    Args:
        steps: Of the session.
        panel: Its size, and the probe's aperture where that is known.
        height_share: Of the page's height.
    """
    wide, high = panel.active_area_mm
    found = [(stop.number, (stop.at_mm[0] / wide, stop.at_mm[1] / high)) for stop in stops(steps, panel)]
    at: dict[tuple[float, float], list[int]] = {}
    for number, where in found:
        at.setdefault(where, []).append(number)
    radius = max(0.006, (panel.aperture_mm or 10.0) / 2 / wide)
    way = (Stroke(tuple(where for _, where in found), arrow=True),) if len(at) > 1 else ()
    dots = (Dot(where, radius, label=", ".join(map(str, numbers))) for where, numbers in at.items())
    outline = Box((0, 0, 1, 1))
    return Drawing((outline, *way, *dots), aspect=wide / high, height_share=height_share)


def route_words(steps: Iterable[Step], panel: PanelFacts) -> str:
    """Say how many placements there are, how far the hand goes, and about how long all of it takes."""
    steps = tuple(steps)
    route, effort = stops(steps, panel), plan(steps, panel)
    far = f", the hand goes {way_mm(route) / 1000:.1f} m" if len(route) > 1 else ""
    said = f"{counted(len(route), 'placement')} of the probe{far}."
    if not effort.minutes:
        return said
    warm = f" and {effort.warm_up_minutes:g} min or more of warm-up" if effort.warm_up_minutes else ""
    whole = effort.minutes + effort.placement_minutes + effort.hold_minutes
    return f"{said} About {whole:.0f} min of reading and placing{warm}."


def route_page(name: str, steps: Iterable[Step], panel: PanelFacts) -> Page:
    """Make the page that shows a sequence's route before it is run."""
    steps = tuple(steps)
    parts = (Words(route_words(steps, panel)), route_drawing(steps, panel))
    return Page(f"The probe's way: {name}", parts, keys=(("Escape", "back"),))
