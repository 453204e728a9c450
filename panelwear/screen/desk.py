"""The panel itself to draw on: lines and labels at its own pixels over black or a dim picture, and a card of words.

Records alone, as in ``page``: what they say is decided elsewhere, how they look by ``panelwear.screen.desk_sheet``.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from panelwear.screen.page import Room, Tone
from patterns.frame import Rect

Grey = NDArray[np.uint8]
"""A picture in greys, ``(height, width)``, 0 black to 255 white."""


@dataclass(frozen=True, slots=True, eq=False)
class Backdrop:
    """A picture that lies beneath, dimmed; two are the same only when they are one."""

    picture: Grey
    """Of the screen's own size."""


@dataclass(frozen=True, slots=True)
class Edge:
    """A straight line along rows or columns, from one point to another."""

    start: tuple[int, int]
    end: tuple[int, int]
    tone: Tone = "plain"
    dotted: bool = False


@dataclass(frozen=True, slots=True)
class Ring:
    """A disc's outline, with a small cross in its middle; radii in pixels across and down."""

    at: tuple[float, float]
    radii: tuple[float, float]
    tone: Tone = "plain"


@dataclass(frozen=True, slots=True)
class Label:
    """Words right below a point; they move down where others stand already."""

    at: tuple[int, int]
    text: str
    tone: Tone = "plain"


@dataclass(frozen=True, slots=True)
class SideCard:
    """A card of words in a corner."""

    title: str
    rows: tuple[tuple[str, str], ...] = ()
    """A name and what it is, in two aligned columns."""
    entry: str | None = None
    """Text typed so far; ``None``: nothing is to be typed."""
    words: tuple[tuple[str, Tone], ...] = ()
    keys: tuple[tuple[str, str], ...] = ()
    corner: str = "bottom-right"


@dataclass(frozen=True, slots=True)
class Desk:
    """All that lies on the panel."""

    summary: str
    """What there is to be seen, in one line: for tests of the real screen."""
    card: SideCard
    edges: tuple[Edge, ...] = ()
    handles: tuple[Rect, ...] = ()
    rings: tuple[Ring, ...] = ()
    labels: tuple[Label, ...] = ()
    backdrop: Backdrop | None = field(default=None)
    room: Room = "dark"
