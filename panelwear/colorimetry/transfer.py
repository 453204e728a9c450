"""Transfer functions between signal (0..1) and light, each by its open standard; arrays in, arrays out."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Real = NDArray[np.float64]

PQ_M1, PQ_M2 = 2610 / 16384, 2523 / 4096 * 128
PQ_C1, PQ_C2, PQ_C3 = 3424 / 4096, 2413 / 4096 * 32, 2392 / 4096 * 32
HLG_A, HLG_B, HLG_C = 0.17883277, 0.28466892, 0.55991073


def _real(values: ArrayLike) -> Real:
    return np.asarray(values, dtype=np.float64)


def srgb_light(V: ArrayLike) -> Real:
    """Return relative light 0..1 of an sRGB signal (IEC 61966-2-1)."""
    v = _real(V)
    return _real(np.where(v <= 0.04045, v / 12.92, ((np.maximum(v, 0.04045) + 0.055) / 1.055) ** 2.4))


def srgb_signal(L: ArrayLike) -> Real:
    """Return the sRGB signal of relative light 0..1 (IEC 61966-2-1)."""
    light = _real(L)
    return np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 0.0031308) ** (1 / 2.4) - 0.055)


def bt709_signal(L: ArrayLike, alpha: float = 1.099, beta: float = 0.018) -> Real:
    """Return the camera signal of scene light 0..1 (ITU-R BT.709; BT.2020 at 12 bits: 1.0993 and 0.0181)."""
    light = _real(L)
    return np.where(light < beta, 4.5 * light, alpha * np.maximum(light, beta) ** 0.45 - (alpha - 1))


def bt1886_luminance(V: ArrayLike, peak_cd_m2: float, black_cd_m2: float, gamma: float = 2.4) -> Real:
    """Return the luminance in cd/m² of signal 0..1 on a panel of given peak and black (ITU-R BT.1886)."""
    root_white, root_black = peak_cd_m2 ** (1 / gamma), black_cd_m2 ** (1 / gamma)
    a = (root_white - root_black) ** gamma
    b = root_black / (root_white - root_black)
    return _real(a * np.maximum(_real(V) + b, 0.0) ** gamma)


def bt1886_signal(L: ArrayLike, peak_cd_m2: float, black_cd_m2: float, gamma: float = 2.4) -> Real:
    """Return the signal of a luminance in cd/m² (inverse of ITU-R BT.1886)."""
    root_white, root_black = peak_cd_m2 ** (1 / gamma), black_cd_m2 ** (1 / gamma)
    return _real((np.maximum(_real(L), 0.0) ** (1 / gamma) - root_black) / (root_white - root_black))


def power_luminance(V: ArrayLike, peak_cd_m2: float, black_cd_m2: float, gamma: float) -> Real:
    """Return the luminance in cd/m² of signal 0..1 by a power law above black (common practice, no source)."""
    return _real(black_cd_m2 + (peak_cd_m2 - black_cd_m2) * np.maximum(_real(V), 0.0) ** gamma)


def pq_luminance(E: ArrayLike) -> Real:
    """Return the luminance in cd/m² of a PQ signal (SMPTE ST 2084, ITU-R BT.2100)."""
    root = np.maximum(_real(E), 0.0) ** (1 / PQ_M2)
    return 10000.0 * (np.maximum(root - PQ_C1, 0.0) / (PQ_C2 - PQ_C3 * root)) ** (1 / PQ_M1)


def pq_signal(L: ArrayLike) -> Real:
    """Return the PQ signal of a luminance in cd/m² (SMPTE ST 2084, ITU-R BT.2100)."""
    powered = (np.maximum(_real(L), 0.0) / 10000.0) ** PQ_M1
    return ((PQ_C1 + PQ_C2 * powered) / (1 + PQ_C3 * powered)) ** PQ_M2


def hlg_system_gamma(peak_cd_m2: float) -> float:
    """Return the system gamma of HLG at a nominal peak in cd/m² (ITU-R BT.2100)."""
    return float(1.2 + 0.42 * np.log10(peak_cd_m2 / 1000.0))


def hlg_grey_luminance(E: ArrayLike, peak_cd_m2: float) -> Real:
    """Return the luminance in cd/m² of an HLG grey signal on a panel with no black lift (ITU-R BT.2100)."""
    e = _real(E)
    high = (np.exp((np.maximum(e, 0.5) - HLG_C) / HLG_A) + HLG_B) / 12
    scene = np.where(e <= 0.5, e**2 / 3, high)
    return _real(peak_cd_m2 * np.maximum(scene, 0.0) ** hlg_system_gamma(peak_cd_m2))


def signal_of_video_code(D: ArrayLike, bits: int = 10) -> Real:
    """Return the signal of a limited-range code: (D - 64) / 876 at 10 bits (ITU-R BT.1886, BT.709)."""
    scale = 2 ** (bits - 8)
    return _real((_real(D) - 16 * scale) / (219 * scale))
