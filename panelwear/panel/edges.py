"""Frames with one steady edge and always the same lit area: what finds the probe."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from panelwear.panel.response import Response
from patterns.frame import Codes, Fill, Frame, Rect

Axis = Literal["x", "y"]

NOT_A_FLASH_CD_M2 = 19.0
"""Bright and dark side differ by less than the 20 cd/m² from which ITU-R BT.1702 counts a flash."""
BRIGHT_CD_M2 = 25.0


@dataclass(frozen=True, slots=True)
class Look:
    """One frame of the search; ``read`` is false for a frame that only leads gently to the next."""

    frame: Frame
    axis: Axis
    edge_px: int
    swapped: bool
    read: bool = True

    @property
    def label(self) -> str:
        """As the last part of a patch key: ``edge-x480a``, ``b`` with the sides swapped."""
        return f"edge-{self.axis}{self.edge_px}{'b' if self.swapped else 'a'}"


def edge_codes(response: Response) -> tuple[float, float]:
    """Choose grey codes for the two sides: dim enough for any limiter, near enough to each other not to flash."""
    bright = min(BRIGHT_CD_M2, 0.2 * response.grey.peak_cd_m2)
    dark = max(bright - NOT_A_FLASH_CD_M2, 0.1 * bright, response.grey.black_cd_m2)
    low, high = response.grey.nearest_code(dark), response.grey.nearest_code(bright)
    return max(high, low + 1), low


def edge_look(
    size_px: tuple[int, int], axis: Axis, edge_px: int, sides: tuple[Codes, Codes], *, swapped: bool, read: bool = True
) -> Look:
    """Light the half of the screen that ends at an edge, or begins there when swapped; what runs out comes in again.

    Args:
        size_px: Width and height of the screen.
        axis: ``x`` for an upright edge, ``y`` for a level one.
        edge_px: Where the edge is, in whole pixels from the left or the top.
        sides: Codes of the bright and of the dark side.
        swapped: Bright and dark change sides.
        read: Passed on.
    """
    length = size_px[0] if axis == "x" else size_px[1]
    half = length // 2
    start = (edge_px if swapped else edge_px - half) % length
    spans = [(start, min(start + half, length))]
    if start + half > length:
        spans.append((0, start + half - length))
    rects = [Rect(a, 0, b - a, size_px[1]) if axis == "x" else Rect(0, a, size_px[0], b - a) for a, b in sorted(spans)]
    fills = tuple(Fill(rect, sides[0]) for rect in rects)
    shape = (("axis", axis), ("edge_px", edge_px), ("swapped", int(swapped)))
    lit = half / length
    frame = Frame("edge", size_px[0], size_px[1], sides[1], Rect(0, 0, *size_px), fills, None, shape, lit)
    return Look(frame, axis, edge_px, swapped, read)
