"""Chromaticity and colour differences of tristimulus values (CIE 15, ISO/CIE 11664).

Everything works row by row on ``(..., 3)`` arrays in cd/m². Black and missing readings have no chromaticity:
they come out as ``nan``, never as a number that looks measured.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from panelwear.colorimetry.transfer import pq_signal

Real = NDArray[np.float64]

D65_XY = (0.3127, 0.3290)
"""Chromaticity of the white BT.709 and sRGB name."""


def _ratio(numerator: Real, denominator: Real) -> Real:
    usable = denominator > 0
    safe = np.where(usable, denominator, 1.0)
    return np.asarray(np.where(usable, numerator / safe, np.nan), dtype=np.float64)


def xy_of(XYZ: ArrayLike) -> Real:
    """Return CIE 1931 x, y as ``(..., 2)``; ``nan`` where X + Y + Z is not positive (CIE 15)."""
    X, Y, Z = np.moveaxis(np.asarray(XYZ, dtype=np.float64), -1, 0)
    total = X + Y + Z
    return np.stack([_ratio(X, total), _ratio(Y, total)], axis=-1)


def uv_prime_of(XYZ: ArrayLike) -> Real:
    """Return CIE 1976 u', v' as ``(..., 2)``; ``nan`` where X + 15 Y + 3 Z is not positive (CIE 15)."""
    X, Y, Z = np.moveaxis(np.asarray(XYZ, dtype=np.float64), -1, 0)
    denominator = X + 15 * Y + 3 * Z
    return np.stack([_ratio(4 * X, denominator), _ratio(9 * Y, denominator)], axis=-1)


def uv_prime_of_xy(xy: ArrayLike) -> Real:
    """Return CIE 1976 u', v' of x, y (CIE 15)."""
    x, y = np.moveaxis(np.asarray(xy, dtype=np.float64), -1, 0)
    denominator = -2 * x + 12 * y + 3
    return np.stack([_ratio(4 * x, denominator), _ratio(9 * y, denominator)], axis=-1)


def XYZ_of_xyY(x: ArrayLike, y: ArrayLike, Y: ArrayLike) -> Real:
    """Return X, Y, Z as ``(..., 3)`` of chromaticity and luminance; ``nan`` where y is not positive (CIE 15)."""
    xs, ys, Ys = np.broadcast_arrays(*(np.asarray(part, dtype=np.float64) for part in (x, y, Y)))
    return np.stack([_ratio(xs * Ys, ys), np.where(ys > 0, Ys, np.nan), _ratio((1 - xs - ys) * Ys, ys)], axis=-1)


def distance_uv_prime(uv: ArrayLike, other: ArrayLike) -> Real:
    """Return Δu'v', the distance in the CIE 1976 diagram."""
    step = np.asarray(uv, dtype=np.float64) - np.asarray(other, dtype=np.float64)
    return np.asarray(np.hypot(step[..., 0], step[..., 1]), dtype=np.float64)


def lab_of(XYZ: ArrayLike, white_XYZ: ArrayLike) -> Real:
    """Return CIELAB L*, a*, b* as ``(..., 3)`` against a white in the same unit (ISO/CIE 11664-4).

    A checkpoint against its own white shows colour, against the baseline's white it shows the loss of light too.
    """
    white = np.asarray(white_XYZ, dtype=np.float64)
    scaled = np.asarray(XYZ, dtype=np.float64) / white
    delta = 6 / 29
    safe = np.maximum(scaled, delta**3)
    f = np.where(scaled > delta**3, np.cbrt(safe), scaled / (3 * delta**2) + 4 / 29)
    fx, fy, fz = np.moveaxis(f, -1, 0)
    return np.stack([116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)], axis=-1)


def delta_e_2000(lab: ArrayLike, other: ArrayLike) -> Real:
    """Return the CIEDE2000 colour difference of two L*, a*, b* ``(..., 3)`` (ISO/CIE 11664-6; Sharma 2005)."""
    (L1, a1, b1), (L2, a2, b2) = (np.moveaxis(np.asarray(c, dtype=np.float64), -1, 0) for c in (lab, other))
    stretch = 1.5 - 0.5 * _share_of_25_to_7(0.5 * (np.hypot(a1, b1) + np.hypot(a2, b2)))
    C1, C2 = np.hypot(stretch * a1, b1), np.hypot(stretch * a2, b2)
    h1, h2 = (np.degrees(np.arctan2(b, stretch * a)) % 360 for a, b in ((a1, b1), (a2, b2)))
    grey = C1 * C2 == 0
    # The shorter way round the hue circle; a grey has no hue of its own.
    turn = np.where(grey, 0.0, (h2 - h1 + 180) % 360 - 180)
    turn = np.where(~grey & (turn == -180) & (h2 > h1), 180.0, turn)
    around = np.where(np.abs(h1 - h2) > 180, np.where(h1 + h2 < 360, 360.0, -360.0), 0.0)
    hue = np.where(grey, h1 + h2, (h1 + h2 + around) / 2)
    dL, dC, dH = L2 - L1, C2 - C1, 2 * np.sqrt(C1 * C2) * np.sin(np.radians(turn / 2))
    L, C = (L1 + L2) / 2, (C1 + C2) / 2
    T = 1 + sum(w * np.cos(np.radians(n * hue + at)) for w, n, at in _HUE_WAVES)
    rotation = -2 * _share_of_25_to_7(C) * np.sin(np.radians(60 * np.exp(-(((hue - 275) / 25) ** 2))))
    lightness = dL / (1 + 0.015 * (L - 50) ** 2 / np.sqrt(20 + (L - 50) ** 2))
    c, h = dC / (1 + 0.045 * C), dH / (1 + 0.015 * C * T)
    return np.asarray(np.sqrt(lightness**2 + c**2 + h**2 + rotation * c * h), dtype=np.float64)


_HUE_WAVES = ((-0.17, 1, -30.0), (0.24, 2, 0.0), (0.32, 3, 6.0), (-0.20, 4, -63.0))
"""Weight, multiple of the hue and offset in degrees of the terms of T in CIEDE2000."""


def _share_of_25_to_7(chroma: Real) -> Real:
    return np.sqrt(chroma**7 / (chroma**7 + 25.0**7))


def delta_e_itp(XYZ: ArrayLike, other: ArrayLike) -> Real:
    """Return the ΔE ITP colour difference of two absolute tristimulus values in cd/m² (ITU-R BT.2124)."""
    return np.asarray(720 * np.linalg.norm(_itp_of(XYZ) - _itp_of(other), axis=-1), dtype=np.float64)


_LMS_OF_RGB2020 = np.array([[1688, 2146, 262], [683, 2951, 462], [99, 309, 3688]]) / 4096
_ICTCP_OF_LMS = np.array([[2048, 2048, 0], [6610, -13613, 7003], [17933, -17390, -543]]) / 4096
_RGB2020_OF_XYZ = np.array(
    [
        [1.7166511880, -0.3556707838, -0.2533662814],
        [-0.6666843518, 1.6164812366, 0.0157685458],
        [0.0176398574, -0.0427706133, 0.9421031212],
    ]
)


def _itp_of(XYZ: ArrayLike) -> Real:
    """Return I, T, P of BT.2124: IC_TC_P of BT.2100 (PQ) with C_T halved."""
    rgb = np.asarray(XYZ, dtype=np.float64) @ _RGB2020_OF_XYZ.T
    lms = np.maximum(rgb @ _LMS_OF_RGB2020.T, 0.0)
    ictcp = pq_signal(lms) @ _ICTCP_OF_LMS.T
    return np.asarray(ictcp * np.array([1.0, 0.5, 1.0]), dtype=np.float64)
