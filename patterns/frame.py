"""What a pattern is: rectangles in drive levels on a background, or a whole picture of pixels."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Codes = tuple[float, float, float]
"""Drive levels of red, green and blue, each 0..255; 128.4375 is a spatial mix: of any 64 x 64 pixels
0.4375 stand at code 129 and the rest at 128, so the mean *light* lies 0.4375 of the way between the two."""

Picture = NDArray[np.uint8]
"""Pixels as ``(height, width, 3)``, red first."""

BLACK: Codes = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle in pixels, origin at the top left of the screen."""

    x: int
    y: int
    w: int
    h: int

    @property
    def right(self) -> int:
        """First column to the right of the rectangle."""
        return self.x + self.w

    @property
    def bottom(self) -> int:
        """First row below the rectangle."""
        return self.y + self.h

    @property
    def area(self) -> int:
        """Number of pixels."""
        return self.w * self.h

    @property
    def centre(self) -> tuple[float, float]:
        """Centre in pixels (pixel edges are whole numbers, so a 1 px rectangle at 0 has its centre at 0.5)."""
        return (self.x + self.w / 2, self.y + self.h / 2)


@dataclass(frozen=True, slots=True)
class Fill:
    """One rectangle in one colour; later fills cover earlier ones."""

    rect: Rect
    codes: Codes


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """One picture to be shown, still as data; ``raster`` in ``patterns.raster`` makes its pixels.

    Most patterns are a handful of ``fills`` (the screen paints those directly, fast). Where a pattern cannot be
    said in rectangles (a checkerboard of single pixels, text, a disc), ``pixels`` holds the whole picture.
    """

    pattern: str
    """Name of the pattern in the registry."""
    width: int
    height: int
    background: Codes
    rect: Rect
    """The rectangle the pattern is about: the window, the zone, the whole screen."""
    fills: tuple[Fill, ...] = ()
    pixels: Picture | None = None
    shape: tuple[tuple[str, str | int | float], ...] = ()
    """What else makes the geometry and is not a rectangle: ``(("columns", 8), ("phase", 1))``."""
    lit_share: float = 0.0
    """Share of the screen's area that is not background, whatever colour it has (0..1)."""

    def geometry_sha256(self) -> str:
        """Digest of pattern, rectangles, shape, background and screen pixels; colours of the fills do not enter.

        Two readings can be compared over time only when this is equal.
        """
        rects = [[f.rect.x, f.rect.y, f.rect.w, f.rect.h] for f in self.fills]
        main = [self.rect.x, self.rect.y, self.rect.w, self.rect.h]
        told = [self.pattern, self.width, self.height, list(map(float, self.background)), main, rects]
        text = json.dumps([*told, [list(pair) for pair in self.shape]], separators=(",", ":"))
        return hashlib.sha256(text.encode()).hexdigest()
