"""What a probe's filters do when they wander against each other between two sessions."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from panelwear.uncertainty.meter import MeterTerms

Real = NDArray[np.float64]


def of_filters(hues: Sequence[str], XYZ: Real, meter: MeterTerms) -> Real:
    """Return how the filters' wander moves X, Y, Z of k patches of one session, ``(k, 3, r)``.

    A filter whose pass band shifts errs on each primary's narrow spectrum by itself: the luminance of each hue has a
    deviate of its own against white, whose own wander is the session's scale. Greys have none, and patches of one hue
    share theirs, so a zone against its reference loses it.

    The gains of X and Z have one deviate each, common to all patches, unless x and y were measured to wander: that
    measurement holds them already.

    Args:
        hues: of the patches.
        XYZ: ``(k, 3)`` in cd/m².
        meter: the probe's terms.
    """
    k, names = len(XYZ), sorted(set(hues) - {"grey", ""})
    own = np.zeros((k, 3, len(names)))
    for i, hue in enumerate(hues):
        if hue in names:
            own[i, :, names.index(hue)] = XYZ[i]
    gains = np.zeros((k, 3, 0 if meter.session_xy_dof else 2))
    if gains.shape[2]:
        gains[:, 0, 0], gains[:, 2, 1] = XYZ[:, 0], XYZ[:, 2]
    return np.concatenate([own, gains], axis=2) * meter.session_filters
