"""Loading: how much brighter a window is than the full field, 100 (L_window - L_full) / L_full (IDMS)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from panelwear.figures.evidence import Evidence, Told
from panelwear.figures.pick import at_full_drive, share_of, words
from panelwear.uncertainty.estimate import Estimate

ORDER = 110


def figures(evidence: Evidence) -> list[Estimate]:
    """Return ``loading/<geometry>`` in %, against the largest window read."""
    found = sorted(at_full_drive(evidence), key=share_of)
    if len(found) < 2 or found[-1].Y <= 0:
        return []
    largest = found[-1]

    def loading(XYZ: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(100 * (XYZ[:, 0, 1] / XYZ[:, 1, 1] - 1))

    return [
        evidence.estimate(
            Told(f"loading/{m.geometry}", "%", f"{words(m)} above {words(largest)}"), [m, largest], loading
        )
        for m in found[:-1]
    ]
