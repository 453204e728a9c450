"""The white point's way through the u'v' plane, scaled to it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from panelwear.report.content import PlaneChart, PlanePoint
from panelwear.report.pictures.style import SMALL_PT, WIDE_IN, Palette, new_figure, tidy

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

TURN = np.linspace(0, 2 * math.pi, 73)
ROOM = 0.14
"""Left free round the data, as a share of their extent: names stand there."""
EDGE = 0.08
"""A landmark nearer to the edge than this share of the width is left out: its name would not fit."""
LEAST = 0.0008
"""Least half width shown, so that scatter alone does not fill the picture."""


def plane(chart: PlaneChart, palette: Palette) -> Figure:
    """Draw points with their ellipses, each with its name; circles and landmarks as far as they come into view."""
    figure, axes = new_figure(WIDE_IN, 3.3)
    tidy(axes, palette)
    first, view = chart.points[0], _view(chart)
    for radius, word in chart.circles:
        u, v = first.u + radius * np.cos(TURN), first.v + radius * np.sin(TURN)
        axes.plot(u, v, color=palette.muted, lw=1.0, ls=(0, (4, 2)))
        _name_circle(axes, word, (u, v), view, palette)
    axes.plot([p.u for p in chart.points], [p.v for p in chart.points], "-", color=palette.blue, lw=1.0)
    for point in chart.points:
        _ellipse(axes, point, palette)
    axes.plot([p.u for p in chart.points], [p.v for p in chart.points], "o", color=palette.blue, ms=4.5)
    for number in range(len(chart.points)):
        _name_point(axes, chart.points, number, palette)
    for mark in chart.landmarks:
        if _inside(view, mark.u, mark.v, EDGE):
            axes.plot(mark.u, mark.v, "+", color=palette.ink, ms=9, mew=1.2)
            _word(axes, mark.name, (mark.u, mark.v), (6, -11), palette.ink)
    axes.set(xlabel="u' (1)", ylabel="v' (1)", xlim=view[0], ylim=view[1])
    axes.set_aspect("equal", adjustable="box")
    axes.locator_params(nbins=5)
    return figure


View = tuple[tuple[float, float], tuple[float, float]]


def _view(chart: PlaneChart) -> View:
    """Return the limits in u' and v' that hold all points with their ellipses, equally wide."""
    us = [p.u + s * math.hypot(p.axes[0][0], p.axes[1][0]) for p in chart.points for s in (-1, 1)]
    vs = [p.v + s * math.hypot(p.axes[0][1], p.axes[1][1]) for p in chart.points for s in (-1, 1)]
    half = max((max(us) - min(us)) / 2, (max(vs) - min(vs)) / 2, LEAST) * (1 + 2 * ROOM)
    u, v = (max(us) + min(us)) / 2, (max(vs) + min(vs)) / 2
    return ((u - half, u + half), (v - half, v + half))


def _inside(view: View, u: float, v: float, edge: float = 0.0) -> bool:
    """Tell whether a place is in view, and farther from its edge than a share of its width."""
    free = edge * (view[0][1] - view[0][0])
    return view[0][0] + free < u < view[0][1] - free and view[1][0] + free < v < view[1][1] - free


def _name_circle(axes: Axes, word: str, circle: tuple[Any, Any], view: View, palette: Palette) -> None:
    """Name a circle where it is farthest to the top right of what is in view; one out of view has no name."""
    seen = [(u, v) for u, v in zip(*circle, strict=True) if _inside(view, u, v)]
    if seen:
        u, v = max(seen, key=lambda p: p[0] + p[1])
        left = u > sum(view[0]) / 2
        _word(axes, word, (u, v), (-4 if left else 4, -11), palette.muted, ha="right" if left else "left")


def _name_point(axes: Axes, points: tuple[PlanePoint, ...], number: int, palette: Palette) -> None:
    """Name a point beside the way, on alternate sides of it, so that neighbours do not cover each other."""
    before, after = points[max(number - 1, 0)], points[min(number + 1, len(points) - 1)]
    du, dv = after.u - before.u, after.v - before.v
    size = math.hypot(du, dv)
    across = (-dv / size, du / size) if size > 0 else (1.0, 0.0)
    side = 1 if number % 2 else -1
    away = (side * across[0] * 9, side * across[1] * 9)
    # Next to its point, not over it.
    ha, va = ("left" if away[0] >= 0 else "right"), ("bottom" if away[1] >= 0 else "top")
    point = points[number]
    _word(axes, point.name, (point.u, point.v), away, palette.ink, ha=ha, va=va)


def _ellipse(axes: Axes, point: PlanePoint, palette: Palette) -> None:
    (au, av), (bu, bv) = point.axes
    if math.hypot(au, av) + math.hypot(bu, bv) == 0:
        return
    u = point.u + au * np.cos(TURN) + bu * np.sin(TURN)
    v = point.v + av * np.cos(TURN) + bv * np.sin(TURN)
    axes.fill(u, v, facecolor=palette.blue, alpha=0.12, lw=0)
    axes.plot(u, v, color=palette.blue, lw=0.7, alpha=0.8)


def _word(axes: Axes, word: str, at: tuple[float, float], away: tuple[float, float], ink: str, **more: Any) -> None:
    axes.annotate(
        word, at, away, textcoords="offset points", fontsize=SMALL_PT, color=ink, annotation_clip=True, **more
    )
