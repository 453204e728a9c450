"""Type B evaluation: what is known otherwise (JCGM 100, 4.3 and F.2.2.1)."""

from __future__ import annotations

import math


def rectangular(half_width: float) -> float:
    """Return the standard uncertainty of a value that lies anywhere within ± half_width (JCGM 100, 4.3.7)."""
    return half_width / math.sqrt(3)


def triangular(half_width: float) -> float:
    """Return the same where the middle is likelier than the ends (JCGM 100, 4.3.9)."""
    return half_width / math.sqrt(6)


def resolution(step: float) -> float:
    """Return the standard uncertainty a display step leaves, step / sqrt(12) (JCGM 100, F.2.2.1)."""
    return step / math.sqrt(12)
