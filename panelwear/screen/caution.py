"""Which picture is bright or patterned enough that the cautions (``panelwear.cautions``) have to come first."""

from __future__ import annotations

import numpy as np

from panelwear.screen.light import LINEAR, LUMINANCE_SHARES
from patterns.frame import Frame, Rect
from patterns.raster import raster

BRIGHT_CD_M2 = 50.0
"""Mean light from which a picture is called bright; bright stripes from 50 cd/m² are restricted in broadcasting
(Wilkins, Emmett, Harding 2005)."""
PAIRS = 5
"""Light-dark pairs from which a picture is called patterned (broadcasting practice, from memory)."""
UNHEARD_S = 1.0
"""Keys of a caution's first second are not heard: they were meant for something else, or nobody has read it."""
READING_CODE = 80.0
"""Grey behind a caution: about 23 cd/m² of 300, so that the card can be read before the room is dark, and eyes come
from a middling light, not from black."""


def reading_ground(width: int, height: int) -> Frame:
    """Make the dim grey field a caution stands on."""
    code = (READING_CODE, READING_CODE, READING_CODE)
    return Frame("field", width, height, code, Rect(0, 0, width, height))


def is_bright(frame: Frame, peak_cd_m2: float) -> bool:
    """Tell whether the mean luminance (assumed gamma 2.2) is 50 cd/m² or more."""
    picture = raster(frame)
    step = max(1, min(picture.shape[:2]) // 251)
    mean = LINEAR[picture[::step, ::step]].reshape(-1, 3).mean(axis=0)
    return float(mean @ LUMINANCE_SHARES) * peak_cd_m2 >= BRIGHT_CD_M2


def is_patterned(frame: Frame) -> bool:
    """Tell whether some row or column runs through more than five light-dark pairs."""
    picture = raster(frame)
    rows = picture[np.linspace(0, frame.height - 1, 9).astype(int)]
    columns = picture[:, np.linspace(0, frame.width - 1, 9).astype(int)].transpose(1, 0, 2)
    return any(_pairs(lines) > PAIRS for lines in (rows, columns))


def _pairs(lines: np.ndarray[tuple[int, ...], np.dtype[np.uint8]]) -> float:
    luminance = LINEAR[lines] @ LUMINANCE_SHARES
    light = luminance > (luminance.min() + luminance.max()) / 2
    if np.ptp(luminance) < 0.1:
        return 0
    return float((light[:, 1:] != light[:, :-1]).sum(axis=1).max()) / 2


def needs_caution(frame: Frame, peak_cd_m2: float) -> bool:
    """Tell whether the caution has to come first."""
    return is_bright(frame, peak_cd_m2) or is_patterned(frame)
