"""From a report's content to one HTML file that needs nothing else: no script, no network, no other file."""

from __future__ import annotations

import base64
from dataclasses import replace

from panelwear.report.content import Chart, Download, Picture, Report, StripChart
from panelwear.report.pictures import draw
from panelwear.report.pictures.style import LIGHT, in_dark
from panelwear.telling.words import bound

TEMPLATE = "report.html.j2"


def html_of(report: Report) -> str:
    """Lay a report out; the same content gives the same text."""
    return rendered(TEMPLATE, report)


def rendered(template: str, report: object) -> str:
    """Lay a page out by one of the templates, which knows what ``report`` holds."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("panelwear.report", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_kept_together,
    )
    drawn: dict[Chart, bytes] = {}  # each picture stands on the page in both looks and is drawn once
    environment.filters["light"] = lambda picture: _svg_uri(_drawn_once(picture, drawn))
    environment.filters["dark"] = lambda picture: _svg_uri(in_dark(_drawn_once(picture, drawn)))
    environment.filters["narrow_light"] = lambda picture: _svg_uri(_drawn_once(_narrow(picture), drawn))
    environment.filters["narrow_dark"] = lambda picture: _svg_uri(in_dark(_drawn_once(_narrow(picture), drawn)))
    environment.filters["file"] = _file_uri
    environment.filters["photo"] = lambda photo: _uri(photo.media_type, photo.data)
    environment.filters["still"] = lambda photo: _uri("image/png", photo.still)
    environment.filters["kilobytes"] = lambda data: f"{len(data) / 1000:.0f} kB"
    return environment.get_template(template).render(report=report) + "\n"


def _kept_together(value: object) -> object:
    """Bind a number to its unit and its uncertainty, so that no line ends between them."""
    # Laid-out parts come as Markup and pictures as data: both stay as they are.
    if type(value) is not str or value.startswith("data:"):
        return value
    return bound(value)


def _drawn_once(picture: Picture, drawn: dict[Chart, bytes]) -> bytes:
    if picture.chart not in drawn:
        drawn[picture.chart] = draw(picture.chart, LIGHT)
    return drawn[picture.chart]


def _narrow(picture: Picture) -> Picture:
    """Return a strip for a narrow screen: two outlines beside each other."""
    return (
        replace(picture, chart=replace(picture.chart, columns=2)) if isinstance(picture.chart, StripChart) else picture
    )


def _svg_uri(svg: bytes) -> str:
    return _uri("image/svg+xml", svg)


def _file_uri(download: Download) -> str:
    return _uri(download.media_type, download.data)


def _uri(media_type: str, data: bytes) -> str:
    return f"data:{media_type};base64,{base64.b64encode(data).decode('ascii')}"
