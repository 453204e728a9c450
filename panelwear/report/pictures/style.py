"""How charts look: two palettes that colour-blind eyes can tell apart, markers that tell without colour, SVG bytes."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, fields
from functools import cache
from typing import TYPE_CHECKING, Any

from panelwear.plotting import make_ready
from panelwear.report.content import Style

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

FONT_PT = 9.0
SMALL_PT = 8.5
"""Words beside lines and in maps; two pictures beside each other on A4 are printed at 97 %, which leaves 8 pt."""
WIDE_IN = 3.55
"""Width of a picture on the page."""
RAMP_STEPS = 64
SYSTEM_FONTS = "system-ui, 'Liberation Sans', sans-serif"


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours of one look; series colours after Okabe and Ito, told apart by colour-blind eyes."""

    name: str
    ink: str
    muted: str
    faint: str
    paper: str
    blue: str
    orange: str
    green: str
    pink: str
    ramp: tuple[str, str, str]
    """Of maps: below, at and above zero; words in ``ink`` can be read on all of it."""


LIGHT = Palette("light", "#1c2024", "#5a636d", "#dde1e5", "#ffffff", "#0072b2", "#c44e00", "#008a64", "#a8487f",
                ("#e8a24f", "#f5f5f5", "#a99fd6"))  # fmt: skip
DARK = Palette("dark", "#e4e7ea", "#a0a9b3", "#3a424b", "#15191e", "#5ab4e6", "#f0904a", "#34c79c", "#e29ac0",
               ("#8f5010", "#1f252b", "#6456a8"))  # fmt: skip

MARKERS: dict[Style, str] = {
    "white": "o", "red": "s", "green": "^", "blue": "D", "first": "o", "last": "s",
    "zone-1": "o", "zone-2": "s", "zone-3": "^", "zone-4": "D", "zone-5": "v", "zone-6": "X",
}  # fmt: skip
LINES: dict[Style, Any] = {
    "white": "-", "red": (0, (5, 1.5)), "green": (0, (3, 1, 1, 1)), "blue": (0, (1, 1)), "first": (0, (4, 1.5)),
    "last": "-", "zone-1": "-", "zone-2": (0, (5, 1.5)), "zone-3": (0, (3, 1, 1, 1)), "zone-4": (0, (1, 1)),
    "zone-5": (0, (6, 1, 1, 1)), "zone-6": (0, (2, 2)),
}  # fmt: skip


def colour(palette: Palette, style: Style) -> str:
    """Return the colour of a series."""
    return {
        "white": palette.ink, "red": palette.orange, "green": palette.green, "blue": palette.blue,
        "first": palette.muted, "last": palette.blue, "zone-1": palette.blue, "zone-2": palette.orange,
        "zone-3": palette.green, "zone-4": palette.pink,
        "zone-5": palette.ink, "zone-6": palette.muted,
    }[style]  # fmt: skip


@contextmanager
def looks(palette: Palette) -> Iterator[None]:
    """Set fonts and ids for one drawing; nothing of it stays."""
    make_ready()
    import matplotlib as mpl

    settings: Any = {
        "svg.fonttype": "none",
        "svg.hashsalt": "panelwear",
        "text.parse_math": False,  # a name with a dollar sign stays a name
        "font.family": "sans-serif",
        "font.sans-serif": ["DejaVu Sans"],
        "font.size": FONT_PT,
        "axes.unicode_minus": True,
        "axes.formatter.useoffset": False,
        "text.color": palette.ink,
        "axes.labelcolor": palette.ink,
        "axes.edgecolor": palette.muted,
        "xtick.color": palette.muted,
        "ytick.color": palette.muted,
        "xtick.labelcolor": palette.ink,
        "ytick.labelcolor": palette.ink,
    }
    with mpl.rc_context(settings):
        yield


def new_figure(width_in: float, height_in: float) -> tuple[Figure, Axes]:
    """Make a figure with one pair of axes and no ground of its own: it stands on the page's."""
    figure, (axes,) = many_axes(width_in, height_in, 1, 1)
    return figure, axes


def many_axes(width_in: float, height_in: float, rows: int, columns: int) -> tuple[Figure, list[Axes]]:
    """Make a figure with several axes, in reading order, and no ground of its own."""
    make_ready()
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width_in, height_in), layout="constrained")
    figure.patch.set_alpha(0)
    every = [axes for row in figure.subplots(rows, columns, squeeze=False) for axes in row]
    for axes in every:
        axes.patch.set_alpha(0)
    return figure, every


def tidy(axes: Axes, palette: Palette) -> None:
    """Leave only what is needed to read a value."""
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    axes.grid(color=palette.faint, lw=0.6)
    axes.set_axisbelow(True)


def behind(palette: Palette) -> dict[str, Any]:
    """Return the ground behind a word that lines may cross."""
    return {"facecolor": palette.paper, "edgecolor": "none", "alpha": 0.8, "pad": 0.6}


def svg_of(figure: Figure, told: Mapping[str, str] | None = None) -> bytes:
    """Write a figure as SVG: no date, no random ids, the reader's own fonts."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG

    buffer = io.BytesIO()
    canvas: Any = FigureCanvasSVG(figure)
    canvas.print_svg(buffer, metadata={"Date": None, "Creator": "panelwear", **(told or {})})
    return buffer.getvalue().replace(b"'DejaVu Sans'", SYSTEM_FONTS.encode())


def ramp_of(palette: Palette) -> Any:
    """Return a palette's map colours as a colour map from 0 to 1."""
    from matplotlib.colors import LinearSegmentedColormap

    return LinearSegmentedColormap.from_list("against the reference", palette.ramp, RAMP_STEPS)


def in_dark(svg: bytes) -> bytes:
    """Return a chart that was drawn in the light palette in the dark one: laying it out again would take as long."""
    dark = _dark_of_light()
    return re.sub(rb"#[0-9a-f]{6}\b", lambda match: dark.get(match[0], match[0]), svg)


@cache
def _dark_of_light() -> dict[bytes, bytes]:
    from matplotlib.colors import to_hex

    steps = range(RAMP_STEPS)
    ramps = [[to_hex(ramp_of(palette)(step)) for step in steps] for palette in (LIGHT, DARK)]
    pairs = dict(zip(*ramps, strict=True))
    pairs |= {getattr(LIGHT, f.name): getattr(DARK, f.name) for f in fields(Palette) if f.name not in {"name", "ramp"}}
    return {light.encode(): dark.encode() for light, dark in pairs.items()}
