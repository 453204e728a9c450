"""Values, zones and marks on the panel's outline, as seen from the front."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from panelwear.report.content import Area, Drawn, MapChart
from panelwear.report.pictures.style import SMALL_PT, WIDE_IN, Palette, new_figure, ramp_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SMALL = 0.16
"""An area narrower or lower than this share of the panel's width is named beside itself."""


def maps(chart: MapChart, palette: Palette) -> Figure:
    """Draw a map; colours are fixed to the chart's limit, so that two maps of one limit compare."""
    bar = bool(chart.spots) or any(math.isfinite(a.value) for a in chart.areas)
    figure, axes = new_figure(WIDE_IN, WIDE_IN * 0.96 * chart.height_mm / chart.width_mm + (0.62 if bar else 0.1))
    on_outline(axes, chart, palette)
    if bar:
        colour_bar(figure, axes, chart, palette)
    return figure


def on_outline(axes: Axes, chart: MapChart, palette: Palette, *, is_small: bool = False) -> None:
    """Draw the panel's outline and what lies on it into some axes.

    Args:
        axes: to be drawn into.
        chart: what.
        palette: colours.
        is_small: name no area, as there is no room for it.
    """
    axes.set(xlim=(-0.01 * chart.width_mm, 1.01 * chart.width_mm), aspect="equal", xticks=[], yticks=[])
    axes.set_ylim(1.015 * chart.height_mm, -0.015 * chart.height_mm)
    axes.axis("off")
    scale = _scale(chart, palette)
    _box(axes, (0, 0, chart.width_mm, chart.height_mm), edgecolor=palette.ink, facecolor="none", lw=1.4, zorder=5)
    for area in chart.areas:
        _area(axes, area, chart, palette, scale)
        if not is_small:
            _name(axes, area, chart, palette)
    for spot in chart.spots:
        axes.scatter([spot.x_mm], [spot.y_mm], s=620, color=[scale.to_rgba(spot.value)], edgecolors=palette.muted,
                     linewidths=0.8, zorder=3)  # fmt: skip
        axes.annotate(_short(spot.value), (spot.x_mm, spot.y_mm), ha="center", va="center", fontsize=SMALL_PT,
                      color=palette.ink, zorder=4)  # fmt: skip
    for mark in chart.marks:
        _mark(axes, mark, palette)


def colour_bar(figure: Figure, axes: Any, chart: MapChart, palette: Palette, shrink: float = 0.75) -> None:
    """Print the colour scale below some axes."""
    from matplotlib.ticker import FuncFormatter

    strip = figure.colorbar(
        _scale(chart, palette), ax=axes, orientation="horizontal", shrink=shrink, aspect=40, pad=0.03
    )
    # Vectors take the colours of the dark look, a bitmap would not.
    if strip.solids is not None:
        strip.solids.set(rasterized=False, edgecolor="face")
    strip.ax.patch.set_visible(False)
    strip.set_ticks([chart.limit * share for share in (-1, -0.5, 0, 0.5, 1)])
    strip.formatter = FuncFormatter(lambda value, _: f"{value:+g}".replace("-", "\u2212") if value else "0")
    strip.set_label(chart.unit, fontsize=SMALL_PT)
    strip.outline.set_edgecolor(palette.muted)
    strip.ax.tick_params(labelsize=SMALL_PT)


def _scale(chart: MapChart, palette: Palette) -> Any:
    from matplotlib.cm import ScalarMappable
    from matplotlib.colors import Normalize

    return ScalarMappable(Normalize(-chart.limit, chart.limit), ramp_of(palette))


def _short(value: float) -> str:
    return f"{value:+.1f}".replace("-", "\u2212") if abs(value) >= 0.05 else "0.0"


def _box(axes: Axes, rect: tuple[float, float, float, float], **look: Any) -> None:
    from matplotlib.patches import Rectangle

    axes.add_patch(Rectangle(rect[:2], rect[2], rect[3], **look))


def _area(axes: Axes, area: Area, chart: MapChart, palette: Palette, scale: Any) -> None:
    found = math.isfinite(area.value)
    fill = scale.to_rgba(area.value) if found else "none"
    _box(axes, (area.x_mm, area.y_mm, area.w_mm, area.h_mm), facecolor=fill, edgecolor=palette.muted, lw=0.9, zorder=2,
         linestyle="-" if found else (0, (3, 2)))  # fmt: skip


def _name(axes: Axes, area: Area, chart: MapChart, palette: Palette) -> None:
    """Write an area's name and value into it, or beside it where it is small."""
    found = math.isfinite(area.value)
    words = f"{area.name}\n{_short(area.value)} %" if found else area.name
    # What fills most of the panel is named low, where smaller areas seldom lie over it.
    low = 0.85 if area.w_mm * area.h_mm > 0.5 * chart.width_mm * chart.height_mm else 0.5
    middle = (area.x_mm + area.w_mm / 2, area.y_mm + area.h_mm * low)
    fits = area.w_mm > SMALL * chart.width_mm and area.h_mm > 0.12 * chart.height_mm
    if fits:
        ink = palette.ink if found else palette.muted
        axes.annotate(words, middle, ha="center", va="center", fontsize=SMALL_PT, color=ink, zorder=6)
        return
    below = area.y_mm + area.h_mm < 0.8 * chart.height_mm
    y = area.y_mm + area.h_mm + 0.012 * chart.height_mm if below else area.y_mm - 0.012 * chart.height_mm
    side = "right" if middle[0] > 0.85 * chart.width_mm else "left" if middle[0] < 0.15 * chart.width_mm else "center"
    x = {"right": area.x_mm + area.w_mm, "left": area.x_mm, "center": middle[0]}[side]
    axes.annotate(
        words, (x, y), ha=side, va="top" if below else "bottom", fontsize=SMALL_PT, color=palette.ink, zorder=6
    )


def _mark(axes: Axes, mark: Drawn, palette: Palette) -> None:
    if mark.is_line:
        axes.plot([mark.x0_mm, mark.x1_mm], [mark.y0_mm, mark.y1_mm], "-", color=palette.orange, lw=2.0, zorder=6)
    else:
        left, top = min(mark.x0_mm, mark.x1_mm), min(mark.y0_mm, mark.y1_mm)
        _box(axes, (left, top, abs(mark.x1_mm - mark.x0_mm), abs(mark.y1_mm - mark.y0_mm)), facecolor="none",
             edgecolor=palette.orange, lw=2.0, zorder=6)  # fmt: skip
    axes.annotate(mark.name, (mark.x0_mm, mark.y0_mm), (3, -3), textcoords="offset points", va="top", fontsize=SMALL_PT,
                  fontweight="bold", color=palette.orange, zorder=7)  # fmt: skip
