"""Grid places: where a uniformity measurement puts the probe."""

from __future__ import annotations

from dataclasses import dataclass

from patterns.errors import PatternError

GRIDS = (5, 9, 13, 25)


@dataclass(frozen=True, slots=True)
class GridPoint:
    """One place of a grid."""

    name: str
    """``x100y900``: thousandths of the screen's width and height."""
    fraction: tuple[float, float]
    at_px: tuple[float, float]
    """Centre in pixels; pixel edges are whole numbers."""


def grid_points(n: int, width: int, height: int) -> tuple[GridPoint, ...]:
    """Return the places of a grid of 5, 9, 13 or 25 points, row by row from the top left.

    5: centre and four corners; 9: 3 x 3; 13: the nine and (.3, .3), (.7, .3), (.3, .7), (.7, .7); 25: 5 x 5 at
    .1, .3, .5, .7, .9. Outer points lie 1/10 of the screen's width and height inside its edges.
    Source: IDMS / FPDM 2.0 306 sampled uniformity (from memory; the 13-point layout with low confidence).

    Raises:
        PatternError: for another number.
    """
    corners = {(x, y) for x in (100, 900) for y in (100, 900)} | {(500, 500)}
    three = {(x, y) for x in (100, 500, 900) for y in (100, 500, 900)}
    inner = {(x, y) for x in (300, 700) for y in (300, 700)}
    five = {(x, y) for x in (100, 300, 500, 700, 900) for y in (100, 300, 500, 700, 900)}
    layouts = {5: corners, 9: three, 13: three | inner, 25: five}
    if n not in layouts:
        raise PatternError(f"no grid of {n!r} points: 5, 9, 13 or 25")
    return tuple(_point(x, y, width, height) for y, x in sorted((y, x) for x, y in layouts[n]))


def zone_centres(width: int, height: int) -> tuple[GridPoint, ...]:
    """Return the centres of nine equal zones (1/6, 1/2, 5/6), row by row.

    Source: IEC 61947 / nine-zone centres (from memory).
    """
    sixths = (1 / 6, 1 / 2, 5 / 6)
    return tuple(_named((x, y), width, height) for y in sixths for x in sixths)


def place_name(fraction: tuple[float, float]) -> str:
    """Return a place's name in thousandths of width and height, three digits each: ``x100y900``."""
    x, y = (int(part * 1000 + 0.5) for part in fraction)
    return f"x{x:03d}y{y:03d}"


def _point(x: int, y: int, width: int, height: int) -> GridPoint:
    return _named((x / 1000, y / 1000), width, height)


def _named(fraction: tuple[float, float], width: int, height: int) -> GridPoint:
    return GridPoint(place_name(fraction), fraction, (fraction[0] * width, fraction[1] * height))
