"""A contact sheet of all patterns, each as its own pixels, reduced."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from panelwear.plotting import new_figure
from patterns.frame import Picture
from patterns.raster import raster
from patterns.registry import build, entry, names

if TYPE_CHECKING:
    from matplotlib.figure import Figure

GROUND = "#f2f2f2"
SIZE_PX = (640, 360)
_COLUMNS = 4
NOTE = "as they are sent to the screen, reduced here; what is dark is dark on purpose"

_SHOWN: dict[str, dict[str, Any]] = {
    "window": {"share": 0.1},
    "zone": {"rect": (550, 11, 77, 32), "codes": (180.0, 180.0, 180.0), "background": (128.0, 128.0, 128.0)},
    "strip": {"direction": "horizontal", "thickness_px": 12},
    "stair": {"steps": 16},
    "title-card": {"panel": "harbour-desk", "hours": "1460", "date": "2026-02-03", "field": "grey-50"},
    "field": {"codes": (128.0, 128.0, 128.0)},
}
"""What is asked for where the defaults say little."""


def contact_sheet() -> Figure:
    """Draw every pattern of the registry with its name and what it is for."""
    listed = names()
    rows = -(-len(listed) // _COLUMNS)
    figure = new_figure(13, 2.35 * rows + 0.8, "Patterns", NOTE)
    figure.set_facecolor(GROUND)
    grid: Any = figure.subplots(rows, _COLUMNS, squeeze=False)
    for axes in grid.ravel():
        axes.axis("off")
    for axes, name in zip(grid.ravel(), listed, strict=False):
        axes.imshow(picture_of(name), vmin=0, vmax=255, interpolation="antialiased")
        axes.set_title(f"{name}\n{_wrapped(entry(name).summary)}", fontsize=7.5)
    return figure


def picture_of(name: str) -> Picture:
    """Give the pixels of a pattern, small enough for the sheet."""
    from patterns.frame import Rect

    asked = dict(_SHOWN.get(name, {}))
    if "rect" in asked:
        asked["rect"] = Rect(*asked["rect"])
    return np.asarray(raster(build(name, SIZE_PX[0], SIZE_PX[1], **asked)))


def _wrapped(text: str) -> str:
    import textwrap

    return "\n".join(textwrap.wrap(text, 46))
