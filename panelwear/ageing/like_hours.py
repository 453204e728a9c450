"""Hours of use put on one scale by the dose that came with them: an hour of hard use counts for more than one of light.

The first and the last keep their hours h0 and H; what lies between stands where its dose d does,

    h' = h0 + (H - h0) (d - d0) / (D - d0),

so that hours forecast are hours of use as hard as on average between the two. How far h' moves between the least and
the most the doses can be is part of its uncertainty, as if anywhere between were as likely (JCGM 100:2008, 4.3.7).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class LikeHours:
    """Hours of like use at each checkpoint, with their standard uncertainty."""

    at: Real
    u: Real
    moved: float
    """The largest move, as a share of the hours since the baseline."""


def like_hours(dose: Real, hours: Real) -> LikeHours | None:
    """Put hours on one scale; ``None`` where there is no dose between the first and the last.

    Args:
        dose: effective hours since the panel was new, ``(3, n)``: the middle, the least and the most they can be.
        hours: of use, ``(n,)``.
    """
    since = dose - dose[:, :1]
    span = float(hours[-1] - hours[0])
    if not ((since[:, -1] > 0).all() and span > 0):
        return None
    shares = since / since[:, -1:]
    at = hours[0] + span * shares[0]
    u = span * np.ptp(shares, axis=0) / (2 * math.sqrt(3))
    return LikeHours(at, u, float(np.abs(at - hours).max() / span))
