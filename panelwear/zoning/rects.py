"""Rectangles under a hand: spanned, moved and resized, always whole on the panel, never too small to be held."""

from __future__ import annotations

from patterns.frame import Rect

LEAST_PX = 4
"""A zone drawn here is at least so wide and high; one of fewer pixels could not be found again."""
Size = tuple[int, int]
"""Pixels of the panel, across and down."""
GRIPS = ("nw", "n", "ne", "e", "se", "s", "sw", "w")
"""Corners and edges a zone is resized by, as on a map: n is the upper edge."""


def clamped(value: int, low: int, high: int) -> int:
    """Return the number of ``low..high`` nearest to a value."""
    return min(max(value, low), high)


def spanned(one: Size, other: Size, panel: Size) -> Rect:
    """Return the rectangle between two points, at least ``LEAST_PX`` each way, pushed onto the panel."""
    x0, x1 = sorted(clamped(at[0], 0, panel[0]) for at in (one, other))
    y0, y1 = sorted(clamped(at[1], 0, panel[1]) for at in (one, other))
    w, h = max(x1 - x0, min(LEAST_PX, panel[0])), max(y1 - y0, min(LEAST_PX, panel[1]))
    return moved(Rect(x0, y0, w, h), 0, 0, panel)


def moved(rect: Rect, right: int, down: int, panel: Size) -> Rect:
    """Move a rectangle as far as the panel's edges let it; its size stays."""
    x = clamped(rect.x + right, 0, panel[0] - rect.w)
    y = clamped(rect.y + down, 0, panel[1] - rect.h)
    return Rect(x, y, rect.w, rect.h)


def resized(rect: Rect, grip: str, right: int, down: int, panel: Size) -> Rect:
    """Pull a rectangle at a corner or an edge; what lies opposite stays where it is."""
    x0, x1 = _pulled((rect.x, rect.right), right, "w" in grip, "e" in grip, panel[0])
    y0, y1 = _pulled((rect.y, rect.bottom), down, "n" in grip, "s" in grip, panel[1])
    return Rect(x0, y0, x1 - x0, y1 - y0)


def _pulled(span: Size, by: int, at_low: bool, at_high: bool, most: int) -> Size:
    low, high = span
    least = min(LEAST_PX, high - low)  # one that was smaller already is not made larger by a pull elsewhere
    if at_low:
        return clamped(low + by, 0, high - least), high
    if at_high:
        return low, clamped(high + by, low + least, most)
    return low, high


def grips_of(rect: Rect) -> dict[str, Size]:
    """Return where each grip stands: corners, and the middles of the edges."""
    across = {"w": rect.x, "": rect.x + rect.w // 2, "e": rect.right}
    down = {"n": rect.y, "": rect.y + rect.h // 2, "s": rect.bottom}
    return {grip: (across[grip.strip("ns")], down[grip.strip("ew")]) for grip in GRIPS}


def grip_at(rect: Rect, at: Size, reach: int) -> str:
    """Name the corner or edge of a rectangle within ``reach`` pixels of a point; empty: none.

    Inside a small rectangle the reach is a third of it, so that there is something left to move it by.
    """
    far_x, far_y = min(reach, max(1, rect.w // 3)), min(reach, max(1, rect.h // 3))
    if not (rect.x - reach <= at[0] <= rect.right + reach and rect.y - reach <= at[1] <= rect.bottom + reach):
        return ""
    up = "n" if at[1] - rect.y <= far_y else ("s" if rect.bottom - at[1] <= far_y else "")
    side = "w" if at[0] - rect.x <= far_x else ("e" if rect.right - at[0] <= far_x else "")
    return up + side


def holds(rect: Rect, at: Size) -> bool:
    """Tell whether a point lies inside a rectangle."""
    return rect.x <= at[0] < rect.right and rect.y <= at[1] < rect.bottom
