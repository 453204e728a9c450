"""The probe's aperture as a uniform disc: how much of it an edge, a strip or a window fills."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from patterns.frame import Rect

FULL_FILL_MARGIN = 1.05
"""A window is large enough for an aperture when it is this much larger: the probe never sits exactly."""


def share_left_of_edge(k: float) -> float:
    """Return the share of a disc that lies left of an edge at ``k`` radii right of its centre (circular segment)."""
    if k <= -1:
        return 0.0
    if k >= 1:
        return 1.0
    return 0.5 + (math.asin(k) + k * math.sqrt(1 - k * k)) / math.pi


def edge_of_share(share: float) -> float:
    """Return the edge position in radii, -1..1, that leaves this share of the disc on its left (bisection)."""
    low, high = -1.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2
        if share_left_of_edge(middle) < share:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def filled_fraction(aperture_mm: float, strip_width_mm: float) -> float:
    """Return the share of the aperture a centred strip fills: (2/π)(asin k + k √(1 - k²)), k = width / aperture."""
    if not (aperture_mm > 0 and strip_width_mm >= 0):
        raise ValueError("Aperture and strip width must be millimetres above zero.")
    return 2 * share_left_of_edge(min(strip_width_mm / aperture_mm, 1.0)) - 1


@lru_cache(maxsize=1024)
def filled_by_rect(
    rect_mm: tuple[float, float, float, float], centre_mm: tuple[float, float], aperture_mm: float
) -> float:
    """Return the share of the aperture's disc that lies inside a rectangle (x, y, w, h), all in millimetres."""
    x, y, w, h = rect_mm
    cx, cy = centre_mm
    r = aperture_mm / 2
    # Columns of equal area would need the inverse; midpoints at this number are good to 1e-4 of the disc.
    steps = 400
    at = cx - r + (np.arange(steps) + 0.5) * 2 * r / steps
    half = np.sqrt(np.maximum(r * r - (at - cx) ** 2, 0.0))
    high = np.maximum(np.minimum(cy + half, y + h) - np.maximum(cy - half, y), 0.0)
    filled = float(high[(x <= at) & (at < x + w)].sum()) * 2 * r / steps
    return min(filled / (math.pi * r * r), 1.0)


def window_refused(rect: Rect, pitch_mm: tuple[float, float], aperture_mm: float, what: str = "The window") -> str:
    """Return why a probe cannot read a window: it is smaller than the aperture. Empty when it can."""
    w, h = rect.w * pitch_mm[0], rect.h * pitch_mm[1]
    need = aperture_mm * FULL_FILL_MARGIN
    if min(w, h) >= need:
        return ""
    return (
        f"{what} is {w:.1f} mm x {h:.1f} mm on this panel, too small for the probe's aperture of {aperture_mm:g} mm: "
        f"it must be at least {need:.1f} mm each way, so take a larger window."
    )


def narrow_zone(name: str, rect: Rect, pitch_mm: tuple[float, float], aperture_mm: float) -> str:
    """Return what to know of a zone narrower than the aperture, with the filled fraction; empty for a wide one."""
    width = min(rect.w * pitch_mm[0], rect.h * pitch_mm[1])
    if width >= aperture_mm:
        return ""
    share = filled_fraction(aperture_mm, width)
    return (
        f"Zone '{name}' is {width:.1f} mm wide, narrower than the probe's aperture of {aperture_mm:g} mm: it fills "
        f"{100 * share:.0f} % of it, so figures divide its contrast by {share:.3f} and its uncertainty too; "
        'better read lit strips instead (strip method: narrow = "strip" in the sequence).'
    )
