"""The way of the hand: where the probe is put, in which order, how far that is, and how short it could be."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from sequences.model import PanelFacts, PutProbe, Step
from sequences.places import at_mm, way_length

COLUMNS = 61
"""Characters across the drawing; a character is about twice as high as it is wide."""


@dataclass(frozen=True, slots=True)
class Stop:
    """One placement of the probe."""

    number: int
    """From 1, in the order they come."""
    name: str
    at_mm: tuple[float, float]
    """From the panel's top left corner, right and down."""


def stops(steps: Iterable[Step], panel: PanelFacts) -> tuple[Stop, ...]:
    """Return the placements of a session in order, each with where it is on the panel."""
    pitch = (panel.active_area_mm[0] / panel.width_px, panel.active_area_mm[1] / panel.height_px)
    puts = [step.place for step in steps if isinstance(step, PutProbe)]
    return tuple(Stop(number, place.name, at_mm(place, pitch)) for number, place in enumerate(puts, start=1))


def way_mm(route: Iterable[Stop]) -> float:
    """Return how far the hand goes from the first placement to the last, in straight lines."""
    return way_length(stop.at_mm for stop in route)


def drawn(route: tuple[Stop, ...], panel: PanelFacts) -> Iterator[str]:
    """Yield the panel's outline with the number of each placement where it is; of several at one place all numbers.

    Args:
        route: The placements.
        panel: Its size.
    """
    if not route:
        return
    wide, high = panel.active_area_mm
    rows = max(7, round(COLUMNS * high / wide / 2))
    grid = [[" "] * COLUMNS for _ in range(rows)]
    at: dict[tuple[int, int], list[int]] = {}
    for stop in route:
        column = min(COLUMNS - 1, int(stop.at_mm[0] / wide * COLUMNS))
        at.setdefault((min(rows - 1, int(stop.at_mm[1] / high * rows)), column), []).append(stop.number)
    for (row, column), numbers in at.items():
        text = ",".join(map(str, numbers))[:COLUMNS]
        first = min(max(0, column - len(text) // 2), COLUMNS - len(text))
        nearest = sorted((abs(other - row), other) for other in range(rows))
        free = (other for _, other in nearest if _is_free(grid[other], first, text))
        near = next(free, row)
        grid[near][first : first + len(text)] = text
    yield f"+{'-' * COLUMNS}+"
    yield from (f"|{''.join(row)}|" for row in grid)
    yield f"+{'-' * COLUMNS}+"


def _is_free(row: list[str], first: int, text: str) -> bool:
    return all(cell == " " for cell in row[max(0, first - 1) : first + len(text) + 1])


def told(steps: Iterable[Step], panel: PanelFacts) -> Iterator[str]:
    """Yield the route as text: the outline with the placements in order, and how far the hand goes; nothing of one."""
    route = stops(steps, panel)
    if len(route) < 2:
        return
    yield "the probe's way, placement by placement:"
    yield from drawn(route, panel)
    yield f"the hand goes {way_mm(route) / 1000:.1f} m from the first placement to the last"
