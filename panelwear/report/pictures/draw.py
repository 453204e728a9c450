"""One door to all kinds of charts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from panelwear.report.content import Chart, LineChart, PlaneChart, StripChart
from panelwear.report.pictures.lines import lines
from panelwear.report.pictures.maps import maps
from panelwear.report.pictures.plane import plane
from panelwear.report.pictures.strip import strip
from panelwear.report.pictures.style import Palette, looks, svg_of

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def draw(chart: Chart, palette: Palette) -> bytes:
    """Draw a chart as SVG; the same numbers give the same bytes."""
    with looks(palette):
        return svg_of(figure_of(chart, palette))


def figure_of(chart: Chart, palette: Palette) -> Figure:
    """Draw a chart as large as it stands on the page; to be called inside ``looks``."""
    if isinstance(chart, LineChart):
        return lines(chart, palette)
    if isinstance(chart, PlaneChart):
        return plane(chart, palette)
    if isinstance(chart, StripChart):
        return strip(chart, palette)
    return maps(chart, palette)
