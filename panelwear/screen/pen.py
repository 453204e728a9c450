"""What pages are drawn with: faces of a page's sizes, inks of its palette, boxes and lines."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from panelwear.screen.letters import Face
from panelwear.screen.palette import Palette, Role

Area = tuple[int, int, int, int]
"""x, y, w, h in pixels."""

TITLE = 1.55
SMALL = 0.86
"""Sizes of title and notes, of the text's."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """What a page is set in."""

    text: int
    """Size of the text in pixels."""
    least: int = 1
    """What the eye needs; notes keep to it too."""
    density: float = 1.0
    """Spaces between lines and parts, of the usual ones: less where much has to fit."""


class Pen:
    """Draws on one surface in one palette at one size of text."""

    def __init__(self, surface: Any, palette: Palette, peak_cd_m2: float, sizes: Sizes) -> None:
        self.surface = surface
        self.palette = palette
        self.size = size = sizes.text
        self._peak_cd_m2 = peak_cd_m2
        self._density = sizes.density
        self.plain = Face.cached(size)
        self.bold = Face.cached(size, True)
        small = max(round(size * SMALL), min(sizes.least, size))
        self.small = Face.cached(small)
        self.small_bold = Face.cached(small, True)
        self.title = Face.cached(round(size * TITLE), True)
        self.hair = max(1, round(size / 22))

    def px(self, sizes: float) -> int:
        """Turn a space in sizes of the text into pixels."""
        return round(sizes * self.size)

    def apart(self, sizes: float) -> int:
        """The same of a space between lines and parts, which is narrower where much has to fit."""
        return round(sizes * self.size * self._density)

    def codes(self, role: Role) -> tuple[int, int, int]:
        """Drive levels of a role."""
        return self.palette.codes(role, self._peak_cd_m2)

    def fill(self, role: Role, area: Area) -> None:
        """Fill a rectangle."""
        self.surface.fill(self.codes(role), area)

    def frame(self, role: Role, area: Area, line: int | None = None) -> None:
        """Draw the outline of a rectangle, inside it."""
        frame(self.surface, area, self.codes(role), line or self.hair)

    def write(self, text: str, at: tuple[int, int], role: Role = "ink", face: Face | None = None) -> None:
        """Set one line with the upper left corner of its line box at a pixel."""
        (face or self.plain).draw(self.surface, text, at, self.codes(role))


def frame(surface: Any, area: Area, codes: tuple[int, int, int], line: int) -> None:
    """Draw the outline of a rectangle, inside it."""
    x, y, w, h = area
    surface.fill(codes, (x, y, w, line))
    surface.fill(codes, (x, y + h - line, w, line))
    surface.fill(codes, (x, y, line, h))
    surface.fill(codes, (x + w - line, y, line, h))
