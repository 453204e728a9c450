"""Which corner of the screen lies farthest from a place: where a card disturbs a probe least."""

from __future__ import annotations


def far_corner(at_px: tuple[float, float], width_px: int, height_px: int) -> str:
    """Return the corner farthest from a spot, in a card's words.

    Args:
        at_px: The spot in pixels, x and y.
        width_px: Pixels across the screen.
        height_px: Pixels down the screen.
    """
    side = "left" if at_px[0] > width_px / 2 else "right"
    return f"{'top' if at_px[1] > height_px / 2 else 'bottom'}-{side}"
