"""Screen sizes every pattern is tested on, and an empty picture to draw the expected pixels on."""

from __future__ import annotations

import numpy as np

from patterns import Picture

SIZES = [(1366, 768), (3440, 1440), (3840, 2160), (1, 1)]


def expected_of(width: int, height: int, codes: tuple[int, int, int] = (0, 0, 0)) -> Picture:
    """Return a picture in one colour."""
    picture = np.empty((height, width, 3), dtype=np.uint8)
    picture[...] = codes
    return picture
