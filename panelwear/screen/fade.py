"""Cross-fades in place, linear in drive level; the caller paints the exact last frame."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Protocol

from panelwear.screen.paint import paintable
from patterns.frame import Frame

MOST_CELLS = 200
"""From so many cells on, laying a picture over the surface is cheaper than filling them."""


class Fading(Protocol):
    """One fade from what is on the surface to a target."""

    def to(self, share: float) -> bool:
        """Bring the surface to ``share`` (0..1) of the target; ``False`` when nothing changed."""
        ...


class AlphaFade:
    """A cross-fade between any two pictures.

    Each step lays the target over what is there with the alpha that brings it to the wanted share; that needs one
    blit a step instead of two. Alpha has 8 bits: single steps are a little rounded, the exact last frame is not.
    """

    def __init__(self, surface: Any, target: Any) -> None:
        self._surface = surface
        self._target = target
        self._share = 0.0

    def to(self, share: float) -> bool:
        """Bring the surface to ``share`` (0..1) of the target; ``False`` when there is nothing to do yet."""
        step = (share - self._share) / (1.0 - self._share) if self._share < 1.0 else 0.0
        alpha = round(255 * step)
        if alpha <= 0:
            return False
        self._target.set_alpha(alpha)
        self._surface.blit(self._target, (0, 0))
        self._target.set_alpha(None)
        self._share += (1.0 - self._share) * alpha / 255
        return True


@dataclass(frozen=True, slots=True)
class Cell:
    """A rectangle that has one colour before and one after."""

    box: tuple[int, int, int, int]
    before: tuple[float, ...]
    after: tuple[float, ...]


def cells(before: Frame, after: Frame) -> list[Cell] | None:
    """Cut two frames of rectangles into cells and return those that change; ``None`` where that does not pay."""
    if not (paintable(before) and paintable(after)):
        return None
    rects = [fill.rect for frame in (before, after) for fill in frame.fills]
    xs = sorted({0, after.width, *(min(max(x, 0), after.width) for r in rects for x in (r.x, r.right))})
    ys = sorted({0, after.height, *(min(max(y, 0), after.height) for r in rects for y in (r.y, r.bottom))})
    if (len(xs) - 1) * (len(ys) - 1) > MOST_CELLS:
        return None
    found = []
    for left, right in pairwise(xs):
        for top, bottom in pairwise(ys):
            old, new = _colour(before, left, top), _colour(after, left, top)
            if old != new:
                found.append(Cell((left, top, right - left, bottom - top), old, new))
    return found


def _colour(frame: Frame, x: int, y: int) -> tuple[float, ...]:
    for fill in reversed(frame.fills):
        if fill.rect.x <= x < fill.rect.right and fill.rect.y <= y < fill.rect.bottom:
            return fill.codes
    return frame.background


class CellFade:
    """A cross-fade between two frames of few rectangles: fills only, several times as fast."""

    def __init__(self, surface: Any, changing: list[Cell]) -> None:
        self._surface = surface
        self._cells = changing

    def to(self, share: float) -> bool:
        """Fill every changing cell with its colour at ``share``."""
        for cell in self._cells:
            colour = [round(a + (b - a) * share) for a, b in zip(cell.before, cell.after, strict=True)]
            self._surface.fill(colour, cell.box)
        return bool(self._cells)
