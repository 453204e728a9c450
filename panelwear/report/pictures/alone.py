"""One picture alone, for an article or a film: the page's own drawing at a fixed size, with title, note and source."""

from __future__ import annotations

import io
import re
import textwrap
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from panelwear.report.content import Chart, Picture, StripChart
from panelwear.report.pictures.draw import figure_of
from panelwear.report.pictures.style import Palette, looks, svg_of
from panelwear.telling.words import bound

if TYPE_CHECKING:
    from matplotlib.figure import Figure

TITLE_PT, FOOT_PT = 12.0, 7.5
LINE = 1.35
TITLE_LETTER, FOOT_LETTER = 0.64, 0.55
"""Height of a line and mean width of a bold and a plain letter, in sizes of the type; most typefaces are narrower."""
MARGIN = 0.03


@dataclass(frozen=True, slots=True)
class Format:
    """A size in pixels; type keeps its size in points, so dots an inch say how large it is in the picture."""

    width_px: int
    height_px: int
    dpi: int

    @property
    def name(self) -> str:
        """Of the files."""
        return f"{self.width_px}x{self.height_px}"

    @property
    def size_in(self) -> tuple[float, float]:
        """Width and height in inches."""
        return self.width_px / self.dpi, self.height_px / self.dpi


FORMATS = (Format(1920, 1080, 240), Format(1080, 1080, 200))


def alone(picture: Picture, palette: Palette, size: Format, source: str) -> tuple[bytes, bytes]:
    """Draw a picture by itself.

    Args:
        picture: chart, title and note.
        palette: light or dark.
        size: of the picture.
        source: the line that says where it is from.

    Returns:
        SVG and PNG; the same numbers give the same bytes.
    """
    with looks(palette):
        figure = _figure(picture, palette, size, source)
        return _svg(figure, picture, size), _png(figure, size)


def _figure(picture: Picture, palette: Palette, size: Format, source: str) -> Figure:
    figure = figure_of(_arranged(picture.chart, size), palette)
    figure.set_size_inches(*size.size_in)
    figure.patch.set(alpha=1.0, facecolor=palette.paper)
    title = _lines(picture.title, size, TITLE_PT * TITLE_LETTER)
    foot = [line for words in (picture.note, source) for line in _lines(words, size, FOOT_PT * FOOT_LETTER)]
    top, bottom = (_share(lines, pt, size) for lines, pt in ((title, TITLE_PT), (foot, FOOT_PT)))
    figure.text(MARGIN, 1 - MARGIN, "\n".join(title), fontsize=TITLE_PT, weight="bold", va="top", color=palette.ink)
    figure.text(MARGIN, MARGIN, "\n".join(foot), fontsize=FOOT_PT, va="bottom", color=palette.muted)
    engine: Any = figure.get_layout_engine()
    engine.set(rect=(MARGIN, bottom + 2 * MARGIN, 1 - 2 * MARGIN, 1 - top - bottom - 4 * MARGIN))
    return figure


def _arranged(chart: Chart, size: Format) -> Chart:
    """Return a strip in as many columns as fill the picture; its words keep their size."""
    if not isinstance(chart, StripChart):
        return chart
    count, is_wide = len(chart.maps), size.width_px > size.height_px
    columns = min(-(-count // 2), 4) if is_wide else 2 if count <= 6 else 3
    return replace(chart, columns=max(columns, 2))


def _lines(words: str, size: Format, letter_pt: float) -> list[str]:
    letters = int(size.size_in[0] * (1 - 2 * MARGIN) * 72 / letter_pt)
    return textwrap.wrap(bound(words), letters)


def _share(lines: list[str], pt: float, size: Format) -> float:
    """Return how much of the picture's height some lines take."""
    return len(lines) * pt * LINE / (72 * size.size_in[1])


def _svg(figure: Figure, picture: Picture, size: Format) -> bytes:
    svg = svg_of(figure, {"Title": picture.title, "Description": picture.alt})
    head, mark, rest = svg.partition(b"viewBox=")
    head = re.sub(rb'(?<=\bwidth=")[^"]*', str(size.width_px).encode(), head[head.rindex(b"<svg") :], count=1)
    head = re.sub(rb'(?<=\bheight=")[^"]*', str(size.height_px).encode(), head, count=1)
    return svg[: svg.index(b"<svg")] + head + mark + rest


def _png(figure: Figure, size: Format) -> bytes:
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    figure.set_dpi(size.dpi)
    buffer = io.BytesIO()
    canvas: Any = FigureCanvasAgg(figure)
    canvas.print_png(buffer, metadata={"Software": "panelwear"})
    return buffer.getvalue()
