"""Painting frames onto a surface, and cross-fading between two pictures."""

from __future__ import annotations

from collections import OrderedDict
from typing import Any

from panelwear.screen.bands import bands, digest
from patterns.frame import Codes, Frame, Rect
from patterns.raster import raster


def is_integer(codes: Codes) -> bool:
    """Whether no spatial mix is needed."""
    return all(float(code).is_integer() for code in codes)


def paintable(frame: Frame) -> bool:
    """Whether the frame is rectangles of whole codes, which a surface fills by itself."""
    return frame.pixels is None and is_integer(frame.background) and all(is_integer(f.codes) for f in frame.fills)


def paint(surface: Any, frame: Frame) -> None:
    """Put the frame's exact pixels onto a surface of its size."""
    if frame.pixels is not None:
        surface.blit(_image(raster(frame)), (0, 0))
        return
    if not paintable(frame):
        for band in bands(frame):
            rows = len(band.block)
            image = _image(band.block)
            for y in range(band.top, band.bottom, rows):
                surface.blit(image, (0, y), (0, 0, frame.width, min(rows, band.bottom - y)))
        return
    whole = (0, 0, frame.width, frame.height)
    rects = [_inside(f.rect, frame) for f in frame.fills]
    if not rects or rects[0] != whole:
        surface.fill(tuple(map(int, frame.background)))
    for fill, rect in zip(frame.fills, rects, strict=True):
        surface.fill(tuple(map(int, fill.codes)), rect)


def _image(picture: Any) -> Any:
    import pygame

    # frombuffer shares the array's memory; it is drawn at once, and nobody writes to it meanwhile.
    return pygame.image.frombuffer(picture, (picture.shape[1], picture.shape[0]), "RGB")


def _inside(rect: Rect, frame: Frame) -> tuple[int, int, int, int]:
    # The library's own fill gets the size wrong for a rectangle that begins left of or above the surface.
    left, top = max(0, rect.x), max(0, rect.y)
    return left, top, max(0, min(rect.right, frame.width) - left), max(0, min(rect.bottom, frame.height) - top)


class Digests:
    """Digests of frames, each computed once."""

    def __init__(self, keep: int = 64) -> None:
        self._known: OrderedDict[object, str] = OrderedDict()
        self._keep = keep

    def of(self, frame: Frame) -> str:
        """Return the ``sha256`` of the frame's raster bytes."""
        # A whole picture is its own key: the frame holds on to it, and frames are not changed.
        key: object = (frame.width, frame.height, frame.background, frame.fills)
        if frame.pixels is not None:
            return digest(frame)
        if key not in self._known:
            self._known[key] = digest(frame)
            if len(self._known) > self._keep:
                self._known.popitem(last=False)
        self._known.move_to_end(key)
        return self._known[key]
