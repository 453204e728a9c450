"""Checkpoint by checkpoint: the panel's outline again and again, on one scale."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from panelwear.report.content import StripChart
from panelwear.report.pictures.maps import colour_bar, on_outline
from panelwear.report.pictures.style import SMALL_PT, Palette, many_axes

if TYPE_CHECKING:
    from matplotlib.figure import Figure

WIDE_IN, NARROW_IN = 7.1, 3.55
WORDS_IN, BAR_IN = 0.5, 0.48
"""Above and below each outline; at the foot of all."""
ONE_LINE = 4
"""Columns up to which hours and date fit into one line."""


def strip(chart: StripChart, palette: Palette) -> Figure:
    """Draw the outlines in rows of ``columns``, and their one scale below."""
    rows = -(-len(chart.maps) // chart.columns)
    first = chart.maps[0][1]
    is_wide = chart.columns > 2
    width_in = WIDE_IN if is_wide else NARROW_IN
    high_in = 0.94 * width_in / chart.columns * first.height_mm / first.width_mm + WORDS_IN
    figure, every = many_axes(width_in, rows * high_in + BAR_IN, rows, chart.columns)
    for axes, (title, one, foot) in zip(every, chart.maps, strict=False):
        on_outline(axes, one, palette, is_small=True)
        # Hours and date stand below each other only where there is no room beside each other.
        head = title if chart.columns > ONE_LINE else title.replace("\n", ", ")
        axes.set_title(head, fontsize=SMALL_PT, color=palette.ink, pad=3)
        axes.annotate(foot, (0.5, -0.02), xycoords="axes fraction", ha="center", va="top", fontsize=SMALL_PT,
                      color=palette.ink)  # fmt: skip
    for axes in every[len(chart.maps) :]:
        axes.axis("off")
    colour_bar(figure, every, first, palette, 0.5 if is_wide else 0.8)
    engine: Any = figure.get_layout_engine()
    engine.set(hspace=0.1)  # what stands below an outline must not seem to belong to the next
    return figure
