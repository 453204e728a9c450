"""Luminance dose: hours of light put on one scale, ``t_eff = sum dt (L / L_ref)^n``.

Luminance and time trade as ``L^n t = const``; a change of drive rescales time but leaves the shape of the decay as it
is (Ishii and Taga, Appl. Phys. Lett. 80(18), 2002), so stretches at different levels add up as effective hours at one
level. Temperature is left out: nobody who tells what a panel showed knows its own. n = 1.7 +/- 0.3: common practice for
emissive panels, no source for any one panel; published exponents lie between 1.2 and 2.1.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sequences.estimate import DOSE_EXPONENT, DOSE_REFERENCE_CD_M2

Real = NDArray[np.float64]

EXPONENTS = (1.4, 1.7, 2.0)
"""Lowest, middle and highest exponent that are reckoned with."""
L_REF_CD_M2 = DOSE_REFERENCE_CD_M2
"""One hour of a white of this luminance is one effective hour of each channel."""
LAW = "effective hours = sum of hours x (L / 120 cd/m²)^n with n = 1.7 (1.4 to 2.0; common practice, no source)"


def dose_rate(level_share: ArrayLike, exponent: float = DOSE_EXPONENT) -> Real:
    """Return effective hours for each hour at a level.

    Args:
        level_share: L / L_ref, of any shape; nothing below 0.
        exponent: acceleration by level, above 0.
    """
    share = np.asarray(level_share, np.float64)
    if not exponent > 0:
        raise ValueError(f"{exponent:g} is no exponent of acceleration; it lies above 0")
    if np.any(share < 0):
        raise ValueError("a level below 0 is no light")
    return np.asarray(share**exponent)


def effective_hours(hours: Sequence[float], rates: Sequence[float]) -> tuple[float, ...]:
    """Add stretches up.

    Args:
        hours: of use of each stretch, oldest first.
        rates: effective hours for each hour of it.

    Returns:
        What has come together at the end of each stretch.
    """
    return tuple(float(total) for total in np.cumsum(np.multiply(hours, rates)))
