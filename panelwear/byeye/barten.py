"""Barten's contrast sensitivity: the finest luminance modulation of a grating an eye detects half of the time.

P. G. J. Barten, Contrast Sensitivity of the Human Eye (1999); formula as in Proc. SPIE 5294 (2004). Written out here
because one value is needed at a time; the tests hold it against colour-science.
"""

from __future__ import annotations

import math

K = 3.0
"""Signal to noise ratio at 50 % detection."""
T_S = 0.1
X_MAX_DEG = 12.0
N_MAX = 15.0
ETA = 0.03
P_TD = 1.2274e6
PHI_0 = 3e-8
U_0 = 7.0


def pupil_mm(luminance_cd_m2: float, field_deg: float) -> float:
    """Return the pupil's diameter in mm for a square field of ``field_deg`` at a luminance."""
    return 5 - 3 * math.tanh(0.4 * math.log10(luminance_cd_m2 * field_deg**2 / 40**2))


def blur_deg(pupil: float) -> float:
    """Return the standard deviation in degrees of the eye's line spread for a pupil in mm."""
    return math.hypot(0.5 / 60, 0.08 / 60 * pupil)


def retinal_td(luminance_cd_m2: float, pupil: float) -> float:
    """Return the retinal illuminance in troland, with the Stiles-Crawford correction."""
    return math.pi * pupil**2 / 4 * luminance_cd_m2 * (1 - (pupil / 9.7) ** 2 + (pupil / 12.4) ** 4)


def optical_mtf(cycles_per_degree: float, sigma_deg: float) -> float:
    """Return the optical modulation transfer of a Gaussian line spread."""
    return math.exp(-2 * math.pi**2 * sigma_deg**2 * cycles_per_degree**2)


def sensitivity(
    cycles_per_degree: float, luminance_cd_m2: float, field_deg: float, *, pupil: float | None = None
) -> float:
    """Return the contrast sensitivity: 1 over the modulation (Michelson) detected half of the time.

    Args:
        cycles_per_degree: frequency of the grating, above 0.
        luminance_cd_m2: its mean luminance, above 0.
        field_deg: its angular size (square).
        pupil: diameter in mm; from luminance and field when left out.
    """
    u = cycles_per_degree
    d = pupil_mm(luminance_cd_m2, field_deg) if pupil is None else pupil
    area = 1 / field_deg**2 + 1 / X_MAX_DEG**2 + u**2 / N_MAX**2
    noise = 1 / (ETA * P_TD * retinal_td(luminance_cd_m2, d)) + PHI_0 / (1 - math.exp(-((u / U_0) ** 2)))
    return optical_mtf(u, blur_deg(d)) / K / math.sqrt(2 / T_S * area * noise)


def weber_threshold(cycles_per_degree: float, luminance_cd_m2: float, field_deg: float) -> float:
    """Return the smallest detectable step as a share of the luminance: twice the threshold modulation."""
    return 2 / sensitivity(cycles_per_degree, luminance_cd_m2, field_deg)
