"""From a frame to its pixels."""

from __future__ import annotations

import numpy as np

from patterns.frame import Codes, Frame, Picture, Rect
from patterns.mix import coloured_tile, is_whole, spread


def raster(frame: Frame) -> Picture:
    """Return the pixels of a frame, ``(height, width, 3)`` uint8, red first, C-contiguous.

    A frame that holds its whole picture gives that very picture (not a copy: do not write to it). Otherwise the
    background and then each fill are painted in order; codes with a fraction are a spatial mix (``patterns.mix``)
    anchored to the screen's top left.
    """
    if frame.pixels is not None:
        return frame.pixels
    picture = np.empty((frame.height, frame.width, 3), dtype=np.uint8)
    whole = Rect(0, 0, frame.width, frame.height)
    if not (frame.fills and frame.fills[0].rect == whole):
        paint(picture, whole, frame.background)
    for fill in frame.fills:
        paint(picture, fill.rect, fill.codes)
    return picture


def paint(picture: Picture, rect: Rect, codes: Codes) -> None:
    """Fill a rectangle of a picture in place; what lies outside the picture is cut off."""
    height, width = picture.shape[:2]
    x, y = max(rect.x, 0), max(rect.y, 0)
    part = Rect(x, y, max(min(rect.right, width) - x, 0), max(min(rect.bottom, height) - y, 0))
    if part.area == 0:
        return
    target = picture[part.y : part.bottom, part.x : part.right]
    if is_whole(codes) and len(set(codes)) == 1:
        target[...] = int(codes[0])
    elif is_whole(codes):
        target[0] = np.array(codes, dtype=np.uint8)
        target[1:] = target[0]
    else:
        spread(target, part, coloured_tile(codes))
