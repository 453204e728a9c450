"""As many digits as mean something, in files of numbers: values end where their uncertainty does.

An uncertainty is stated with two significant digits, and a result to the same place (JCGM 100:2008, 7.2.6).
"""

from __future__ import annotations

import math

OF_AN_UNCERTAINTY = 2
AS_GIVEN = 6
"""Significant digits of a number of which no uncertainty is known."""


def significant(value: float, digits: int) -> float:
    """Round to so many significant digits; what is 0 or no number stays."""
    if value == 0 or not math.isfinite(value):
        return value
    return round(value, digits - 1 - math.floor(math.log10(abs(value)))) + 0.0


def to_uncertainty(value: float, u: float | None) -> float:
    """Round a value to the second significant digit of its standard uncertainty; without one to ``AS_GIVEN`` digits."""
    if not math.isfinite(value):
        return value
    if u is None or not (math.isfinite(u) and u > 0):
        return significant(value, AS_GIVEN)
    # 0.0996 is stated as 0.10: the place is that of the rounded uncertainty.
    stated = significant(u, OF_AN_UNCERTAINTY)
    return round(value, OF_AN_UNCERTAINTY - 1 - math.floor(math.log10(stated))) + 0.0
