"""Painting frames onto a surface, and cross-fading between two pictures."""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from typing import Any

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
    if not paintable(frame):
        import pygame

        picture: Any = raster(frame)
        # frombuffer shares the array's memory; it is drawn at once, and nobody writes to it meanwhile.
        image = pygame.image.frombuffer(picture, (frame.width, frame.height), "RGB")
        surface.blit(image, (0, 0))
        return
    whole = (0, 0, frame.width, frame.height)
    rects = [_inside(f.rect, frame) for f in frame.fills]
    if not rects or rects[0] != whole:
        surface.fill(tuple(map(int, frame.background)))
    for fill, rect in zip(frame.fills, rects, strict=True):
        surface.fill(tuple(map(int, fill.codes)), rect)


def _inside(rect: Rect, frame: Frame) -> tuple[int, int, int, int]:
    # The library's own fill gets the size wrong for a rectangle that begins left of or above the surface.
    left, top = max(0, rect.x), max(0, rect.y)
    return left, top, max(0, min(rect.right, frame.width) - left), max(0, min(rect.bottom, frame.height) - top)


class Fade:
    """A cross-fade in place, linear in drive code, whose last frame is painted exactly by the caller.

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
            return hashlib.sha256(raster(frame).data).hexdigest()
        if key not in self._known:
            self._known[key] = hashlib.sha256(raster(frame).data).hexdigest()
            if len(self._known) > self._keep:
                self._known.popitem(last=False)
        self._known.move_to_end(key)
        return self._known[key]
