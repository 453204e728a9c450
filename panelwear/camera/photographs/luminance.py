"""How the camera's colours are weighed so that together they stand for luminance."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.photograph import COLOURS, Colour

Real = NDArray[np.float64]
USUAL_SHARES = (0.2126, 0.7152, 0.0722)
"""Of red, green and blue in the luminance of white: ITU-R BT.709, where nothing was measured."""
WORST_CONDITION = 50.0


@dataclass(frozen=True, slots=True)
class Weights:
    """Of the means behind red, green and blue filters; their sum is relative luminance, up to a constant."""

    of: tuple[float, float, float]
    said: str
    """Where they come from."""
    caution: str = ""


GREEN_ALONE = Weights(
    (0.0, 1.0, 0.0),
    "the camera's green alone",
    "the camera's green alone stands for luminance, as no red, green and blue fields tell how to weigh its colours:"
    " wear of red and blue is seen too weakly",
)


def only(colour: Colour) -> Weights:
    """Return the weights of a field of one colour: its own filter's pixels alone."""
    red, green, blue = (float(one == colour) for one in COLOURS)
    return Weights((red, green, blue), f"the camera's {colour}")


def luminance_weights(
    grey: Real,
    primaries: Mapping[Colour, Real],
    shares: tuple[float, float, float] = USUAL_SHARES,
    basis: str = "BT.709",
) -> Weights:
    """Find the weights that make a grey field's luminance of what the camera's filters see of it.

    Behind filter k a grey shows sum_c M_kc t_c w_c: M are the red, green and blue fields of the same panel, t how much
    of each is in the grey, w each channel's own wear, 1 without any. Its luminance is sum_c Y_c w_c, Y the channels'
    shares in luminance. So the weights a solve sum_k a_k M_kc t_c = Y_c for each c, and t follows from the grey itself:
    neither exposures nor the fields' own levels matter.

    Args:
        grey: means behind red, green and blue of the grey field, ``(3,)``.
        primaries: the same of the red, green and blue fields.
        shares: luminance of each channel in white, as shares.
        basis: where they are from.
    """
    if {*primaries} != {*COLOURS}:
        return GREEN_ALONE
    M = np.stack([primaries[colour] / primaries[colour].max() for colour in COLOURS], axis=1)
    if not np.isfinite(M).all() or np.linalg.cond(M) > WORST_CONDITION:
        return GREEN_ALONE
    t = np.linalg.solve(M, grey)
    if (t <= 0).any():
        return GREEN_ALONE
    a = np.linalg.solve((M * t).T, np.array(shares) / sum(shares))
    return Weights(
        (float(a[0]), float(a[1]), float(a[2])),
        f"red, green and blue weighed to luminance from the fields of the shoot, shares of {basis}",
    )
