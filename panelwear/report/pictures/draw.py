"""One door to all kinds of charts."""

from __future__ import annotations

from panelwear.report.content import Chart, LineChart, PlaneChart
from panelwear.report.pictures.lines import lines
from panelwear.report.pictures.maps import maps
from panelwear.report.pictures.plane import plane
from panelwear.report.pictures.style import Palette, looks, svg_of


def draw(chart: Chart, palette: Palette) -> bytes:
    """Draw a chart as SVG; the same numbers give the same bytes."""
    with looks(palette):
        if isinstance(chart, LineChart):
            return svg_of(lines(chart, palette))
        if isinstance(chart, PlaneChart):
            return svg_of(plane(chart, palette))
        return svg_of(maps(chart, palette))
