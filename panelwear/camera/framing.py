"""Where a panel lay in the frame, and what of a lens's fall-off stays in the ratio of two months where it moved."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Real = NDArray[np.float64]
Place = tuple[float, float]

FULL_FRAME_HALF_MM = 21.63
"""Half the diagonal of 36 mm x 24 mm: what a focal length in 35 mm film is told for."""
ASSUMED_35_MM = 35.0
"""Focal length taken where the file tells none: wider than is advised, so that too much is counted rather than too
little."""
BARREL = 2.0
"""By so much more than cos^4 light may fall: the barrel, one or two stops down (common practice, no source)."""
SAID_FROM = 0.001
"""Fall-off left across the panel from which it is said."""
MOST = 0.05
"""And from which on maps are not divided: then it is several times what is looked for (common practice, no source)."""
_ACROSS, _DOWN = 13, 9


@dataclass(frozen=True, slots=True)
class Framing:
    """Where the panel lay in the frame of one shoot."""

    frame_px: tuple[int, int]
    """Width and height in camera pixels."""
    corners_px: tuple[Place, Place, Place, Place]
    """Of the panel, from its own top left clockwise, from the frame's top left corner."""
    focal_35_mm: float | None = None
    """Focal length for the 36 mm x 24 mm frame, as the file tells it."""

    @property
    def focal_px(self) -> float:
        """Focal length in camera pixels."""
        return (self.focal_35_mm or ASSUMED_35_MM) / FULL_FRAME_HALF_MM * math.hypot(*self.frame_px) / 2

    def moved_px(self, other: Framing) -> float:
        """Return how far the corners lie apart, rms, in camera pixels."""
        apart = np.array(self.corners_px) - np.array(other.corners_px)
        return float(np.sqrt((apart**2).sum(axis=1).mean()))

    def fall_off_apart(self, other: Framing) -> float:
        """Return what the lens leaves across the panel in the ratio of two maps, relative, at most.

        A lens sends cos^4 of the angle to its axis into the frame's parts: with r camera pixels from the middle and
        f the focal length, ln l(r) = -2 ln(1 + r^2/f^2). Its slope is d ln l / dr = -4 r / (f^2 + r^2), which is
        -2 sin(2 theta) / f. Where a panel W pixels wide lies d pixels farther along, the ratio of two maps therefore
        goes from +4 (W/2) d / f^2 to -4 (W/2) d / f^2, which is 4 W d / f^2 from one side to the other. At 6000 x 4000
        pixels, W 5000 and f for 50 mm (8334 px) that is 0.03 % a pixel; with the barrel's part 0.1 % is reached at
        1.7 px (0.03 % of the frame's width) and 5 % at 87 px (1.4 %). A camera that came nearer leaves a bowl instead.
        Both are worked out here from the corners, without the linear step.

        Source: cos^4 law, any text on optics; 10 degrees 0.941, 30 degrees 0.563 (computed).
        """
        left = np.log1p(_squares(other) / other.focal_px**2) - np.log1p(_squares(self) / self.focal_px**2)
        return BARREL * 2 * float(np.ptp(left))


def _squares(one: Framing) -> Real:
    """Return the squares of the distances from the frame's middle of places spread over the panel."""
    u, v = np.meshgrid(np.linspace(0, 1, _ACROSS), np.linspace(0, 1, _DOWN))
    a, b, c, d = np.array(one.corners_px) - np.array(one.frame_px) / 2
    u, v = u[..., None], v[..., None]
    places = (1 - u) * (1 - v) * a + u * (1 - v) * b + u * v * c + (1 - u) * v * d
    return np.asarray((places**2).sum(axis=-1))


def framing_of(frame_px: tuple[int, int], corners_px: ArrayLike, focal_35_mm: float | None) -> Framing:
    """Put a framing together from the corners' places, ``(4, 2)``."""
    a, b, c, d = ((float(x), float(y)) for x, y in np.asarray(corners_px, dtype=np.float64).round(2))
    return Framing(frame_px, (a, b, c, d), focal_35_mm)


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """What two places of a camera mean for the ratio of their maps."""

    u_slow: float
    """Relative: enters the uncertainty of slow gradients."""
    said: str
    """A sentence's words; empty where there is nothing to say."""
    refused: bool


def elsewhere(before: Framing | None, after: Framing | None) -> Elsewhere:
    """Say what it means that the camera stood elsewhere between two maps that both hold the lens's own fall-off."""
    if before is None or after is None:
        said = (
            "where the camera stood is not kept with these maps, so nothing but the files' own words says that it is"
            " the same set-up; read the photographs again"
        )
        return Elsewhere(0.0, said, refused=False)
    if before.frame_px != after.frame_px:
        (w, h), (wide, high) = before.frame_px, after.frame_px
        said = f"other frames, {w} x {h} px then and {wide} x {high} px now, and the lens's fall-off is in both"
        return Elsewhere(0.0, said, refused=True)
    moved, left = before.moved_px(after), before.fall_off_apart(after)
    if left < SAID_FROM:
        return Elsewhere(left, "", refused=False)
    told = "" if before.focal_35_mm else f" (for a lens of {ASSUMED_35_MM:g} mm, as its angle is not told)"
    said = (
        f"the panel lies {moved:.3g} camera pixels ({100 * moved / before.frame_px[0]:.2g} % of the frame) from where"
        f" it lay, which leaves up to {100 * left:.2g} % of the lens's fall-off across it{told}"
    )
    if left > MOST:
        more = f"; {100 * MOST:g} % is the most: put the camera back on its marks, or photograph an even surface"
        return Elsewhere(left, said + more, refused=True)
    return Elsewhere(left, f"{said}: counted as a slow gradient", refused=False)
