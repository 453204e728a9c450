"""From a report's content to one HTML file that needs nothing else: no script, no network, no other file."""

from __future__ import annotations

import base64
import re

from panelwear.report.content import Download, Picture, Report
from panelwear.report.pictures import draw
from panelwear.report.pictures.style import DARK, LIGHT

TEMPLATE = "report.html.j2"
NO_BREAK = "\u00a0"
BEFORE_UNIT = re.compile(r" (?=± )|(?<=±) (?=[\d.])|(?<=[\d.]) (?=(?:%|cd/m²|K|h|mm|px|Hz|lx|°C|min)(?![\w/]))")


def html_of(report: Report) -> str:
    """Lay a report out; the same content gives the same text."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("panelwear.report", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_kept_together,
    )
    environment.filters["light"] = lambda picture: _picture_uri(picture, dark=False)
    environment.filters["dark"] = lambda picture: _picture_uri(picture, dark=True)
    environment.filters["file"] = _file_uri
    environment.filters["kilobytes"] = lambda data: f"{len(data) / 1000:.0f} kB"
    return environment.get_template(TEMPLATE).render(report=report) + "\n"


def _kept_together(value: object) -> object:
    """Bind a number to its unit and its uncertainty, so that no line ends between them."""
    # Laid-out parts come as Markup and pictures as data: both stay as they are.
    if type(value) is not str or value.startswith("data:"):
        return value
    return BEFORE_UNIT.sub(NO_BREAK, value)


def _picture_uri(picture: Picture, *, dark: bool) -> str:
    return _uri("image/svg+xml", draw(picture.chart, DARK if dark else LIGHT))


def _file_uri(download: Download) -> str:
    return _uri(download.media_type, download.data)


def _uri(media_type: str, data: bytes) -> str:
    return f"data:{media_type};base64,{base64.b64encode(data).decode('ascii')}"
