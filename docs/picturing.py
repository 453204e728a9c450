"""What the scripts that make pictures share: the real screen on the driver nobody sees, and how it is kept."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from PIL import Image

from groundwork.clock import VirtualClock
from panelwear.screen.contract import Card, Screen, far_corner
from panelwear.screen.person import GO_ON_HINT
from panelwear.screen.window import open_screen
from patterns import build
from patterns.frame import Picture

COLOURS = 48
DIM_CODE = 60
"""A picture whose brightest code is below this is brightened to ``PRINTED_CODE``."""
PRINTED_CODE = 190
WIDE_MM = 598.0
Put = Callable[[Screen], None]


def pixels_of(put: Put, size: tuple[int, int]) -> Picture:
    """Put something on the real screen and return its pixels, ``(height, width, 3)`` uint8."""
    screen = open_screen(off_screen=size, clock=VirtualClock(datetime(2026, 2, 3, 20, tzinfo=UTC)))
    try:
        put(screen)
        return screen.pixels()
    finally:
        screen.close()


def at_the_target(size: tuple[int, int], share: tuple[float, float], size_mm: float) -> Put:
    """Put up the target at a share of the screen's width and height, with its card."""
    at_px, pitch = (size[0] * share[0], size[1] * share[1]), WIDE_MM / size[0]
    told = ("Lay the probe on the disc, its lens in the middle.", "", GO_ON_HINT)
    card = Card(told, title="Put the probe at: lower left", corner=far_corner(at_px, *size), by_hand=True)

    def put(screen: Screen) -> None:
        screen.show(
            build("target", *size, codes=(70.0,) * 3, at_px=at_px, pitch_mm=(pitch, pitch), size_mm=size_mm)
        )  # fmt: skip
        screen.card(card)

    return put


def brightened(picture: Picture, gain: float) -> Picture:
    """Return a picture with all drive levels raised alike."""
    return np.round(picture * gain).astype(np.uint8)


def printed(picture: Picture) -> Picture:
    """Brighten a dark screen so that it can be seen on paper."""
    most = int(picture.max())
    return brightened(picture, PRINTED_CODE / most) if 0 < most < DIM_CODE else picture


def store(picture: Picture, path: Path) -> None:
    """Store a picture for print, small."""
    image = Image.fromarray(printed(picture)).quantize(COLOURS, dither=Image.Dither.NONE)
    image.save(path, optimize=True)
