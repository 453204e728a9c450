"""What a probe's filters do when they wander against each other between two sessions."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from panelwear.uncertainty.meter import MeterTerms

Real = NDArray[np.float64]
GREYS = {"grey", ""}
"""Hues of patches that all three primaries light."""


def of_filters(hues: Sequence[str], XYZ: Real, meter: MeterTerms) -> Real:
    """Return how the filters' wander moves X, Y, Z of k patches of one session, ``(k, 3, r)``.

    A filter whose pass band shifts errs on each primary's narrow spectrum by itself: X, Y and Z of each hue have a
    deviate of their own each, its luminance against white, whose own wander is the session's scale. Patches of one hue
    share theirs, so a zone against its reference loses them.

    Greys see all three primaries at once: the gains of X and Z have one deviate each, common to all of them, unless x
    and y were measured to wander: that measurement, of white light, holds them already.

    Args:
        hues: of the patches.
        XYZ: ``(k, 3)`` in cd/m².
        meter: the probe's terms.
    """
    names = sorted(set(hues) - GREYS)
    own = np.zeros((len(XYZ), 3, 3 * len(names)))
    gains = np.zeros((len(XYZ), 3, 0 if meter.session_xy_dof else 2))
    for i, hue in enumerate(hues):
        if hue not in GREYS:
            at = 3 * names.index(hue)
            own[i, :, at : at + 3] = np.diag(XYZ[i])
        elif gains.shape[2]:
            gains[i, 0, 0], gains[i, 2, 1] = XYZ[i, 0], XYZ[i, 2]
    return np.concatenate([own, gains], axis=2) * meter.session_filters
