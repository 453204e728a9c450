"""The white point's way through the u'v' plane, scaled to it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from panelwear.report.content import PlaneChart, PlanePoint
from panelwear.report.pictures.style import SMALL_PT, WIDE_IN, Palette, behind, new_figure, tidy

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

TURN = np.linspace(0, 2 * math.pi, 73)
ROOM = 0.14
"""Left free round the data, as a share of their extent: names stand there."""
EDGE = 0.08
"""A landmark nearer to the edge than this share of the width is left out: its name would not fit."""
NAMES = 0.22
"""Kept free right of the data for the points' names, as a share of its extent."""
NAME_GAP = 0.062
"""From one name to the next, as a share of the height."""
LEAST_SEEN = 0.1
"""Of a circle of which a smaller share is in view nothing is drawn."""
LEAST = 0.0008
"""Least half width shown, so that scatter alone does not fill the picture."""


def plane(chart: PlaneChart, palette: Palette) -> Figure:
    """Draw points with their ellipses, each with its name; circles and landmarks as far as they come into view."""
    figure, axes = new_figure(WIDE_IN, 3.3)
    tidy(axes, palette)
    first, view = chart.points[0], _view(chart)
    for radius, word in chart.circles:
        u, v = first.u + radius * np.cos(TURN), first.v + radius * np.sin(TURN)
        seen = [at for at in zip(u, v, strict=True) if _inside(view, *at)]
        if len(seen) >= LEAST_SEEN * len(TURN):
            axes.plot(u, v, color=palette.muted, lw=1.0, ls=(0, (4, 2)))
            _name_circle(axes, word, min(seen), view, palette)
    axes.plot([p.u for p in chart.points], [p.v for p in chart.points], "-", color=palette.blue, lw=1.0)
    for point in chart.points:
        _ellipse(axes, point, palette)
    axes.plot([p.u for p in chart.points], [p.v for p in chart.points], "o", color=palette.blue, ms=4.5)
    _name_points(axes, chart.points, view, palette)
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
    """Return the limits in u' and v' that hold all points with their ellipses and, to the right, their names."""
    us = [p.u + s * math.hypot(p.axes[0][0], p.axes[1][0]) for p in chart.points for s in (-1, 1)]
    vs = [p.v + s * math.hypot(p.axes[0][1], p.axes[1][1]) for p in chart.points for s in (-1, 1)]
    half = max((max(us) - min(us)) / 2, (max(vs) - min(vs)) / 2, LEAST) * (1 + 2 * ROOM)
    u, v = (max(us) + min(us)) / 2, (max(vs) + min(vs)) / 2
    return ((u - half, u + half * (1 + 2 * NAMES)), (v - half, v + half))


def _inside(view: View, u: float, v: float, edge: float = 0.0) -> bool:
    """Tell whether a place is in view, and farther from its edge than a share of its width."""
    free = edge * (view[0][1] - view[0][0])
    return view[0][0] + free < u < view[0][1] - free and view[1][0] + free < v < view[1][1] - free


def _name_circle(axes: Axes, word: str, at: tuple[float, float], view: View, palette: Palette) -> None:
    """Name a circle at its leftmost point in view, outside it where there is room."""
    away, ha = ((-4, 0), "right") if _inside(view, *at, 2 * EDGE) else ((4, 0), "left")
    _word(axes, word, at, away, palette.muted, ha=ha, va="center", bbox=behind(palette))


def _name_points(axes: Axes, points: tuple[PlanePoint, ...], view: View, palette: Palette) -> None:
    """Name all points in one column right of their ellipses, each with a line to its point: none covers another."""
    (left, right), (low, high) = view
    at_u = max(p.u + math.hypot(p.axes[0][0], p.axes[1][0]) for p in points) + 0.03 * (right - left)
    gap = NAME_GAP * (high - low)
    ranked = sorted(points, key=lambda p: p.v)
    heights = [p.v for p in ranked]
    for i in range(1, len(heights)):
        heights[i] = max(heights[i], heights[i - 1] + gap)
    over = max(0.0, heights[-1] - (high - gap / 2))
    for point, at_v in zip(ranked, heights, strict=True):
        axes.plot([point.u, at_u], [point.v, at_v - over], color=palette.muted, lw=0.6)
        _word(axes, point.name, (at_u, at_v - over), (2, 0), palette.ink, va="center", bbox=behind(palette))


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
