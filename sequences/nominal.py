"""A nominal response, for estimates only: how bright a level may be before anything has been measured.

White at code 255 is taken from the panel's facts (250 cd/m² when unknown), the response as a power of 2.2, black as
0.0005 of peak or less. No luminance found here is ever shown as a result.
"""

from __future__ import annotations

import math

from sequences.model import GAMMA, HUES, Level, PanelFacts

LUMINOUS_SHARE = (0.2126, 0.7152, 0.0722)
"""Share of red, green and blue in the luminance of white (Rec. ITU-R BT.709-6, item 3.2)."""
PEAK_CODE = 255.0
DARKEST_CD_M2 = 0.05
"""Where the GSDF begins (DICOM PS3.14)."""


def share_of_white(hue: str) -> float:
    """Return the luminance of a hue at full drive as a share of that of white."""
    return sum(share * driven for share, driven in zip(LUMINOUS_SHARE, HUES[hue], strict=True))


def code_of(level: Level, hue: str, panel: PanelFacts) -> float:
    """Return the drive level, 0..255, a level would need on the nominal panel."""
    if level.basis == "code":
        return level.value
    if level.basis == "share_of_peak":
        share = level.value
    elif level.basis == "cd_m2":
        share = level.value / (panel.peak_cd_m2 * share_of_white(hue))
    else:
        share = _even_steps(level, panel.peak_cd_m2 * share_of_white(hue))
    return float(PEAK_CODE * min(max(share, 0.0), 1.0) ** (1 / GAMMA))


def _even_steps(level: Level, peak_cd_m2: float) -> float:
    """Stand in for GSDF steps by steps of equal cube root of luminance: near enough to plan time."""
    steps = max(level.of_steps - 1, 1)
    low, high = math.cbrt(min(DARKEST_CD_M2, peak_cd_m2)), math.cbrt(peak_cd_m2)
    return float((low + (high - low) * (level.value - 1) / steps) ** 3 / peak_cd_m2)


def drive(code: float) -> float:
    """Return the share of full light, 0..1, a channel gives at a code."""
    return float((code / PEAK_CODE) ** GAMMA)


def luminance_cd_m2(level: Level, hue: str, panel: PanelFacts) -> float:
    """Return the luminance of a level on the nominal panel, cd/m²."""
    return panel.peak_cd_m2 * share_of_white(hue) * drive(code_of(level, hue, panel))
