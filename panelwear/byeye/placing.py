"""A shape being put on the screen: dragged by the pointer, or moved and sized by keys."""

from __future__ import annotations

from dataclasses import dataclass, replace

from panelwear.readings.marks import MarkShape, Shape
from panelwear.screen.contract import ScreenEvent

CLICK_PX = 4
"""Less than this far is a click, not a drag."""
SPOT_PX = 9
"""A click marks a spot of so many pixels."""
STEP_PX = 16
BACK = {"backspace", "escape"}
ARROWS = {"left": (-1, 0), "right": (1, 0), "up": (0, -1), "down": (0, 1)}


@dataclass(frozen=True, slots=True)
class Placing:
    """A shape under way; ``by_keys`` tells which hand it follows."""

    drawn: MarkShape
    by_keys: bool
    sizing: bool = False
    """Keys move the second corner instead of the whole shape."""
    moved: bool = False
    outcome: str = "open"
    """``open``, ``placed``, ``dropped`` or ``clicked`` (a click that was no drag)."""


def by_keys(width: int, height: int, shape: Shape = "rect") -> Placing:
    """Begin a shape in the middle of the screen, a tenth of its size."""
    w, h = max(width // 10, 1), max(height // 10, 1)
    x, y = (width - w) // 2, (height - h) // 2
    return Placing(MarkShape(shape, x, y, x + w, y + h if shape == "rect" else y), by_keys=True)


def by_pointer(event: ScreenEvent) -> Placing:
    """Begin a drag: left button a rectangle, right button (or Shift) a line."""
    shape: Shape = "line" if event.button == 3 or event.shift else "rect"
    return Placing(MarkShape(shape, event.x, event.y, event.x, event.y), by_keys=False)


def spot(x: int, y: int) -> MarkShape:
    """Return the small square a click marks."""
    half = SPOT_PX // 2
    return MarkShape("rect", x - half, y - half, x - half + SPOT_PX, y - half + SPOT_PX)


def _by_key(now: Placing, event: ScreenEvent, width: int, height: int) -> Placing:
    shape = now.drawn
    if event.key in ARROWS:
        step = 1 if event.shift else STEP_PX
        dx, dy = (step * part for part in ARROWS[event.key])
        if now.sizing:
            moved = replace(shape, x1=shape.x1 + dx, y1=shape.y1 + dy)
        else:
            moved = MarkShape(shape.shape, shape.x0 + dx, shape.y0 + dy, shape.x1 + dx, shape.y1 + dy)
        # A shape that would leave the screen stays where it is, so that its size is kept.
        inside = moved.clipped(width, height) == moved
        return replace(now, drawn=moved, moved=True) if inside else replace(now, moved=True)
    if event.key in {"s", "tab"}:
        return replace(now, sizing=not now.sizing)
    if event.key == "l":
        other: Shape = "rect" if shape.shape == "line" else "line"
        bottom = shape.y0 if other == "line" else shape.y0 + max(height // 10, 1)
        return replace(
            now, drawn=MarkShape(other, shape.x0, shape.y0, shape.x1, bottom).clipped(width, height), moved=True
        )
    if event.key in {"return", "space"}:
        return replace(now, outcome="placed")
    return replace(now, outcome="dropped") if event.key in BACK else now


def handle(now: Placing, event: ScreenEvent, width: int, height: int) -> Placing:
    """Return the shape after an event, always on the screen."""
    if event.kind == "key" and now.by_keys:
        return _by_key(now, event, width, height)
    if event.kind == "key" and event.key in BACK:
        return replace(now, outcome="dropped")
    if now.by_keys or event.kind not in {"pointer-move", "pointer-up"}:
        return now
    moved = replace(now.drawn, x1=event.x, y1=event.y)
    if event.kind == "pointer-move":
        return replace(now, drawn=moved)
    far = max(abs(moved.x1 - moved.x0), abs(moved.y1 - moved.y0)) >= CLICK_PX
    return replace(now, drawn=moved.clipped(width, height), outcome="placed" if far else "clicked")
