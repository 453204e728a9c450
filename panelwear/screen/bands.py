"""A frame of rectangles as bands of repeating rows: its digest and its spatial mixes without all of its pixels."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from patterns.frame import BLACK, Frame, Picture, Rect
from patterns.mix import SIDE, is_whole, mix
from patterns.raster import raster

MANY_FILLS = 100
"""With more rectangles than this, drawing them once is cheaper than looking at each band or sample point."""


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """Rows ``top`` to ``bottom`` of a frame: the block's rows, over and over from the top."""

    top: int
    bottom: int
    block: Picture
    """``(rows, width, 3)``; 64 rows, which is the height of the spatial mix's tile, or fewer."""


def bands(frame: Frame) -> Iterator[Band]:
    """Cut a frame without ``pixels`` into bands; between two edges of rectangles the rows repeat every 64."""
    edges = {0, frame.height}
    for fill in frame.fills:
        edges |= {min(max(y, 0), frame.height) for y in (fill.rect.y, fill.rect.bottom)}
    cuts = sorted(edges)
    for top, bottom in pairwise(cuts):
        yield Band(top, bottom, _block(frame, top, min(SIDE, bottom - top)))


def _block(frame: Frame, top: int, rows: int) -> Picture:
    block = np.empty((rows, frame.width, 3), dtype=np.uint8)
    painted = [(Rect(0, top, frame.width, rows), frame.background)]
    painted += [(fill.rect, fill.codes) for fill in frame.fills if fill.rect.y <= top < fill.rect.bottom]
    for rect, codes in painted:
        left, right = max(rect.x, 0), min(rect.right, frame.width)
        if right <= left:
            continue
        if is_whole(codes):
            block[:, left:right] = np.array(codes, dtype=np.uint8)
        else:
            # Anchored to the screen, so the part above the rectangle's own edge does not matter.
            block[:, left:right] = mix(codes, Rect(left, top, right - left, rows))
    return block


def digest(frame: Frame) -> str:
    """Return the ``sha256`` of the frame's raster bytes."""
    if frame.pixels is not None or len(frame.fills) > MANY_FILLS:
        return hashlib.sha256(raster(frame).data).hexdigest()
    total = hashlib.sha256()
    for band in bands(frame):
        times, rest = divmod(band.bottom - band.top, len(band.block))
        for _ in range(times):
            total.update(band.block.data)
        total.update(np.ascontiguousarray(band.block[:rest]).data if rest else b"")
    return total.hexdigest()


def blank(width: int, height: int) -> Frame:
    """Make a black frame."""
    return Frame("field", width, height, BLACK, Rect(0, 0, width, height))
