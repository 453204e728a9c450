"""Values against a quantity, with their intervals."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from panelwear.report.content import Axis, ChartPoint, LineChart
from panelwear.report.pictures.style import LINES, MARKERS, SMALL_PT, WIDE_IN, Palette, behind, colour, new_figure, tidy

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


def lines(chart: LineChart, palette: Palette) -> Figure:
    """Draw a line chart."""
    figure, axes = new_figure(WIDE_IN, 2.7)
    tidy(axes, palette)
    for axis, set_scale in ((chart.x, axes.set_xscale), (chart.y, axes.set_yscale)):
        if axis.is_log:
            set_scale("log")
    if chart.level is not None:
        axes.axhline(chart.level, color=palette.muted, lw=0.9)
    for number in range(len(chart.series)):
        _series(axes, chart, number, palette)
    for x, word in chart.cuts:
        axes.axvline(x, color=palette.muted, lw=0.9, ls=(0, (2, 2)))
        axes.annotate(
            word, (x, 0), (3, 3), xycoords=("data", "axes fraction"), textcoords="offset points", rotation=90,
            ha="left", va="bottom", fontsize=SMALL_PT, color=palette.muted, bbox=behind(palette), zorder=6,
        )  # fmt: skip
    axes.set(xlabel=chart.x.label, ylabel=chart.y.label)
    _ticks(axes, chart)
    axes.margins(x=0.04, y=0.12)
    if len(chart.series) > 1:
        handles, abreast = axes.get_legend_handles_labels()[0], _abreast(chart)
        # matplotlib fills columns; names are read in rows.
        order = [n for column in range(abreast) for n in range(column, len(handles), abreast)]
        legend = axes.legend(
            [handles[n] for n in order], [f"series {n}" for n in order],
            loc="lower left", bbox_to_anchor=(-0.02, 1.0), ncols=abreast, frameon=False,
            fontsize=SMALL_PT, handlelength=1.9, columnspacing=1.1, handletextpad=0.5, borderaxespad=0.1,
        )  # fmt: skip
        # A label that begins with "_" would be left out, so the names are written afterwards.
        for entry, number in zip(legend.get_texts(), order, strict=True):
            entry.set_text(chart.series[number].name)
    return figure


def _abreast(chart: LineChart) -> int:
    """Return how many names stand beside each other above the axes; about 45 letters fit, 7 of them a sample."""
    longest = max(len(s.name) for s in chart.series)
    return max(1, min(4, len(chart.series), 45 // (longest + 7)))


def _offset(chart: LineChart, number: int) -> float:
    if not chart.dodge or len(chart.series) < 2:
        return 0.0
    xs = [p.x for s in chart.series for p in s.points]
    width = (max(xs) - min(xs)) if xs else 0.0
    return (number - (len(chart.series) - 1) / 2) * 0.007 * width


def _series(axes: Axes, chart: LineChart, number: int, palette: Palette) -> None:
    series, offset = chart.series[number], _offset(chart, number)
    shown = _parted([p for p in series.points if math.isfinite(p.y)], chart)
    xs, ys = [p.x + offset for p in shown], [p.y for p in shown]
    down = [p.y - p.low if math.isfinite(p.low) else 0.0 for p in shown]
    up = [p.high - p.y if math.isfinite(p.high) else 0.0 for p in shown]
    ink, line = colour(palette, series.style), LINES[series.style] if chart.joined else "none"
    axes.errorbar(
        xs, ys, [down, up], fmt=MARKERS[series.style], ls=line, lw=1.2, ms=4.2,
        color=ink, ecolor=ink, elinewidth=0.9, capsize=2.2, capthick=0.9, label=f"series {number}",
    )  # fmt: skip


def _parted(points: list[ChartPoint], chart: LineChart) -> list[ChartPoint]:
    """Put a gap where the series is cut: no line leads over a compensation cycle or another setting."""
    found = points[:1]
    for before, after in pairwise(points):
        if any(before.x <= x < after.x for x, _ in chart.cuts):
            found.append(ChartPoint(math.nan, math.nan))
        found.append(after)
    return found


def _ticks(axes: Axes, chart: LineChart) -> None:
    def place(axis: Axis, set_ticks: object, mine: object) -> None:
        if axis.ticks and callable(set_ticks):
            set_ticks(axis.ticks, [f"{t:g}" for t in axis.ticks])
            set_ticks([], minor=True)

    place(chart.x, axes.set_xticks, axes.xaxis)
    place(chart.y, axes.set_yticks, axes.yaxis)
    if chart.y.is_log and not chart.y.ticks:
        from matplotlib.ticker import FuncFormatter

        axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
