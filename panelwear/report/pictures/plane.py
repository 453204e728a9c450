"""The white point's way through the u'v' plane."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from panelwear.report.content import PlaneChart, PlanePoint
from panelwear.report.pictures.style import Palette, new_figure, tidy

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

TURN = np.linspace(0, 2 * math.pi, 73)


def plane(chart: PlaneChart, palette: Palette) -> Figure:
    """Draw points with their ellipses, and circles round the first one."""
    figure, axes = new_figure(4.7, 4.4)
    tidy(axes, palette)
    first = chart.points[0]
    away = _away(chart)
    for radius, word in chart.circles:
        u, v = first.u + radius * np.cos(TURN), first.v + radius * np.sin(TURN)
        axes.plot(u, v, color=palette.muted, lw=1.0, ls=(0, (4, 2)))
        at = (first.u + radius * away[0], first.v + radius * away[1])
        _word(axes, word, at, (4 * away[0], 4 * away[1] - 4), palette.muted, ha="left" if away[0] > 0 else "right")
    axes.plot([p.u for p in chart.points], [p.v for p in chart.points], "-", color=palette.blue, lw=1.0)
    for point in chart.points:
        _ellipse(axes, point, palette)
    axes.plot([p.u for p in chart.points], [p.v for p in chart.points], "o", color=palette.blue, ms=4.5)
    _word(axes, first.name, (first.u, first.v), (6, -10), palette.ink)
    if len(chart.points) > 1:
        last = chart.points[-1]
        left = last.u <= first.u
        _word(axes, last.name, (last.u, last.v), (-6 if left else 6, 4), palette.ink, ha="right" if left else "left")
    for mark in chart.landmarks:
        axes.plot(mark.u, mark.v, "+", color=palette.ink, ms=9, mew=1.2)
        left = mark.u <= first.u
        _word(axes, mark.name, (mark.u, mark.v), (-6 if left else 6, -11), palette.ink, ha="right" if left else "left")
    axes.set(xlabel="u' (1)", ylabel="v' (1)")
    axes.set_aspect("equal", adjustable="datalim")
    axes.margins(0.09)
    axes.locator_params(nbins=6)
    return figure


def _away(chart: PlaneChart) -> tuple[float, float]:
    """Return the diagonal on which the circles are named: the one the white point did not go."""
    last, first = chart.points[-1], chart.points[0]
    side = -1.0 if last.u > first.u else 1.0
    up = -1.0 if last.v >= first.v else 1.0
    return (side * math.sqrt(0.5), up * math.sqrt(0.5))


def _ellipse(axes: Axes, point: PlanePoint, palette: Palette) -> None:
    (au, av), (bu, bv) = point.axes
    if math.hypot(au, av) + math.hypot(bu, bv) == 0:
        return
    u = point.u + au * np.cos(TURN) + bu * np.sin(TURN)
    v = point.v + av * np.cos(TURN) + bv * np.sin(TURN)
    axes.fill(u, v, facecolor=palette.blue, alpha=0.12, lw=0)
    axes.plot(u, v, color=palette.blue, lw=0.7, alpha=0.8)


def _word(axes: Axes, word: str, at: tuple[float, float], away: tuple[float, float], ink: str, **more: Any) -> None:
    axes.annotate(word, at, away, textcoords="offset points", fontsize=8.5, color=ink, **more)
