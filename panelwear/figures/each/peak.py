"""Peak luminance: white at full drive, by window, and the brightest of them.

The largest of several readings of one light lies above it by chance: of eight equal windows its 95 % interval holds the
light in 86 % only. A panel gives a smaller window at least the light of a larger one, so the brightness at the
brightest window is the largest mean over the smallest windows, however many (isotonic regression, the method of pooling
adjacent violators). The uncertainty stays that of one window: that makes up for choosing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from panelwear.figures.evidence import Evidence, Told
from panelwear.figures.formulas import luminance
from panelwear.figures.means import Mean
from panelwear.figures.pick import at_full_drive, share_of, words
from panelwear.uncertainty.coverage import expanded
from panelwear.uncertainty.estimate import Estimate

ORDER = 10
SURELY = 0.999
"""Level at which a window counts as dimmer than a larger one, such as one that does not fill the probe's aperture."""


def figures(evidence: Evidence) -> list[Estimate]:
    """Return ``peak`` and ``peak/<geometry>`` in cd/m²."""
    windows = sorted(at_full_drive(evidence), key=share_of)
    found = {}
    for mean in windows:
        told = Told(f"peak/{mean.geometry}", "cd/m²", f"peak luminance, {words(mean)}")
        found[mean.geometry] = evidence.estimate(told, [mean], luminance)
    if not found:
        return []
    return [_peak(evidence, _filled(evidence, windows), found), *found.values()]


def _filled(evidence: Evidence, windows: Sequence[Mean]) -> Sequence[Mean]:
    """Leave out the smallest windows while they are told to be dimmer than a larger one."""
    while any(_is_dimmer(evidence, windows[0], larger) for larger in windows[1:]):
        windows = windows[1:]
    return windows


def _is_dimmer(evidence: Evidence, one: Mean, other: Mean) -> bool:
    def more(XYZ: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(XYZ[:, 1, 1] - XYZ[:, 0, 1])

    step = evidence.estimate(Told("", "cd/m²", ""), [one, other], more)
    # Without any uncertainty the last bit would tell.
    return step.value > max(expanded(step, SURELY), 1e-9 * other.Y)


def _peak(evidence: Evidence, windows: Sequence[Mean], each: dict[str, Estimate]) -> Estimate:
    Y, n = np.array([m.Y for m in windows]), np.array([m.n for m in windows], dtype=np.float64)
    means = np.cumsum(n * Y) / np.cumsum(n)
    # Equal means but for the last bit are one.
    count = int(np.flatnonzero(means >= means.max() * (1 - 1e-9))[0]) + 1
    block = windows[:count]
    widest = max((each[m.geometry] for m in block), key=lambda e: e.u)
    flags = dict.fromkeys(part for m in block for part in each[m.geometry].note.split(", ") if part)
    where = f"{words(block[0])}" if count == 1 else f"{words(block[0])} to the {words(block[-1])}, mean"
    note = "; ".join(part for part in (f"at the {where}", ", ".join(flags)) if part)
    return replace(widest, name="peak", caption="peak luminance", value=float(means[count - 1]), note=note)
