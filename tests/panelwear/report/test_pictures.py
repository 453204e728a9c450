"""Charts: the same bytes twice, names that stay names, colours that can be read and told apart."""

from __future__ import annotations

import re
import warnings
from itertools import combinations
from xml.etree import ElementTree

import numpy as np
import pytest

from benchmarks.support.colour_library import colour_science
from panelwear.report.content import (
    Area,
    Axis,
    Chart,
    ChartPoint,
    ChartSeries,
    Drawn,
    LineChart,
    MapChart,
    MapSpot,
    PlaneChart,
    PlanePoint,
    Style,
)
from panelwear.report.pictures import draw
from panelwear.report.pictures.style import DARK, LIGHT, LINES, MARKERS, Palette, colour, in_dark

COLOURS = re.compile(rb"(?:fill|stroke|stop-color): (#[0-9a-f]{6})\b")
ODD = "a<b> & $\\frac{1}{2}$"
LINE = LineChart(
    Axis("hours of use (h)"),
    Axis("luminance (%)"),
    (
        ChartSeries(ODD, "first", (ChartPoint(0, 100), ChartPoint(500, 99, 98, 100), ChartPoint(900, float("nan")))),
        ChartSeries("two", "last", (ChartPoint(0, 100),)),
    ),
    100.0,
    cuts=((300.0, "compensation cycle"),),
    dodge=True,
)
PLANE = PlaneChart(
    (PlanePoint(ODD, 0.2, 0.47), PlanePoint("2000 h", 0.199, 0.471, ((0.0003, 0.0), (0.0, 0.0002)))),
    ((0.0011, "1 JND"),),
)
MAP = MapChart(
    600.0, 340.0, "luminance (%)", 5.0,
    spots=(MapSpot("centre", 300, 170, 0.0, "0"), MapSpot("corner", 60, 34, -4.9, "x")),
    areas=(Area(ODD, 0, 0, 120, 340, 2.0), Area("thin", 120, 100, 480, 10)),
    marks=(Drawn("1", False, 10, 10, 90, 300), Drawn("2", True, 10, 10, 500, 300)),
)  # fmt: skip


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("chart", [LINE, PLANE, MAP], ids=["lines", "plane", "map"])
def test_a_chart_is_the_same_twice_well_formed_and_keeps_odd_names(chart: Chart, palette: Palette) -> None:
    svg = draw(chart, palette)
    assert svg == draw(chart, palette)
    root = ElementTree.fromstring(svg)  # noqa: S314 - our own picture
    words = ["".join(e.itertext()) for e in root.iter("{http://www.w3.org/2000/svg}text")]
    assert any(ODD in w for w in words)
    assert b"<dc:date>" not in svg


@pytest.mark.parametrize("chart", [LINE, PLANE, MAP], ids=["lines", "plane", "map"])
def test_a_light_chart_in_dark_colours_is_the_chart_drawn_dark(chart: Chart) -> None:
    recoloured, drawn = (parts(svg) for svg in (in_dark(draw(chart, LIGHT)), draw(chart, DARK)))
    assert len(recoloured) == len(drawn)
    for mine, theirs in zip(recoloured, drawn, strict=True):
        # Two neighbours of the colours of a light map may round to one: a dark one is then one step off.
        assert len(mine) == len(theirs)
        assert all(abs(int(a, 16) - int(b, 16)) <= 1 for a, b in zip(mine, theirs, strict=True))


def parts(svg: bytes) -> list[list[bytes]]:
    return [
        re.findall(rb"(?<=#)[0-9a-f]{2}|(?<=#..)[0-9a-f]{2}|(?<=#....)[0-9a-f]{2}", e) for e in COLOURS.findall(svg)
    ]


def test_long_names_above_the_axes_stay_inside_the_picture() -> None:
    from panelwear.report.pictures.lines import lines
    from panelwear.report.pictures.style import looks

    styles: tuple[Style, ...] = ("zone-1", "zone-2", "zone-3", "zone-4", "zone-5", "zone-6")
    series = tuple(
        ChartSeries(f"a-zone-with-a-very-long-name-{s}", s, (ChartPoint(0, 1), ChartPoint(9, 2))) for s in styles
    )
    with looks(LIGHT):
        figure = lines(LineChart(Axis("x (1)"), Axis("y (1)"), series), LIGHT)
        figure.draw_without_rendering()
        legend = figure.axes[0].get_legend()
        assert legend is not None
        box = legend.get_window_extent()
    assert box.x0 >= 0
    assert box.x1 <= figure.bbox.x1
    assert box.y1 <= figure.bbox.y1 + 1


def test_drawing_leaves_no_settings_behind() -> None:
    import matplotlib as mpl

    before = dict(mpl.rcParams)
    draw(LINE, DARK)
    assert dict(mpl.rcParams) == before


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two sRGB colours (WCAG 2.2, definitions of contrast ratio and relative luminance)."""
    channels = [np.array([int(c[i : i + 2], 16) / 255 for i in (1, 3, 5)]) for c in (one, other)]
    linear = [np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4) for c in channels]
    low, high = sorted(float(c @ [0.2126, 0.7152, 0.0722]) for c in linear)
    return (high + 0.05) / (low + 0.05)


def test_the_contrast_formula_is_the_published_one() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)  # WCAG 2.2: 21:1 is the most there is
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)  # a well-known near miss of 4.5:1


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
def test_words_and_lines_stand_out_from_their_ground(palette: Palette) -> None:
    for words in (palette.ink, palette.muted):
        assert contrast(words, palette.paper) >= 4.5  # WCAG 2.2, 1.4.3
    for line in (palette.blue, palette.orange, palette.green, palette.pink):
        assert contrast(line, palette.paper) >= 3.0  # WCAG 2.2, 1.4.11
    for ground in palette.ramp:
        assert contrast(palette.ink, ground) >= 4.5


TOGETHER: tuple[tuple[Style, ...], ...] = (
    ("white", "red", "green", "blue"),
    ("first", "last"),
    ("zone-1", "zone-2", "zone-3", "zone-4", "zone-5", "zone-6"),
)


@pytest.mark.parametrize("styles", TOGETHER)
def test_series_differ_in_marker_and_line_not_in_colour_alone(styles: tuple[Style, ...]) -> None:
    assert len({MARKERS[s] for s in styles}) == len(styles)
    assert len({str(LINES[s]) for s in styles}) == len(styles)


@pytest.mark.parametrize("deficiency", ["Protanomaly", "Deuteranomaly", "Tritanomaly"])
@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
def test_colours_of_one_chart_differ_for_colour_blind_eyes(palette: Palette, deficiency: str) -> None:
    """Machado, Oliveira and Fernandes 2009, full severity, as colour-science has it; at least 10 in CIE 1976 ΔE."""
    for styles in TOGETHER[:2]:
        seen = {style: as_seen(colour(palette, style), deficiency) for style in styles}
        for a, b in combinations(styles, 2):
            assert np.linalg.norm(seen[a] - seen[b]) >= 10, (a, b)


def as_seen(code: str, deficiency: str) -> np.ndarray:
    """Return CIE 1976 L*a*b* of a colour as colour-blind eyes see it."""
    science = colour_science()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it says that tritanomaly is the roughest of the three
        matrix = science.matrix_cvd_Machado2009(deficiency, 1.0)
    rgb = science.cctf_decoding(np.array([int(code[i : i + 2], 16) / 255 for i in (1, 3, 5)]))
    return np.asarray(
        science.XYZ_to_Lab(science.RGB_to_XYZ(np.clip(matrix @ rgb, 0, 1), "sRGB", apply_cctf_decoding=False))
    )


@pytest.mark.parametrize("deficiency", ["Protanomaly", "Deuteranomaly", "Tritanomaly"])
@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
def test_brighter_and_darker_zones_differ_for_colour_blind_eyes(palette: Palette, deficiency: str) -> None:
    """By the same model, both ends of a map's scale from each other and from no change: at least 10 in ΔE."""
    for a, b in combinations(palette.ramp, 2):
        assert np.linalg.norm(as_seen(a, deficiency) - as_seen(b, deficiency)) >= 10, (a, b)


def test_a_name_that_begins_with_an_underscore_stays_in_the_legend() -> None:
    points = (ChartPoint(0, 1), ChartPoint(1, 2))
    chart = LineChart(
        Axis("x"), Axis("y"), (ChartSeries("_x", "zone-1", points), ChartSeries("other", "zone-2", points))
    )
    root = ElementTree.fromstring(draw(chart, LIGHT))  # noqa: S314 - our own picture
    words = ["".join(e.itertext()) for e in root.iter("{http://www.w3.org/2000/svg}text")]
    assert {"_x", "other"} <= set(words)
