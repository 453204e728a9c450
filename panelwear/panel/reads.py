"""How many readings are enough: two stages, planned by the noise of the probe, in whole refresh periods."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from panelwear.panel.noise import NoiseModel
from sequences.model import Reads

FIRST_STAGE = 5
"""Fewest readings that give a usable standard deviation."""
FIRST_WHERE_KNOWN = 3
"""Enough where a fitted noise model stands beside them: they only have to show that the patch is no worse."""
KNOWN_DOF = 20
"""Degrees of freedom from which a noise model is known well enough for that."""


def is_two_stage(reads: Reads) -> bool:
    """Whether a first stage decides how many readings there are in all."""
    return reads.until is not None or reads.until_cd_m2 is not None


def first_stage(reads: Reads, noise: NoiseModel | None = None) -> int:
    """Return how many readings to take before the scatter can say how many more."""
    known = noise is not None and noise.dof >= KNOWN_DOF
    return max(reads.n, FIRST_WHERE_KNOWN if known else FIRST_STAGE) if is_two_stage(reads) else reads.n


def wanted_u(luminance_cd_m2: float, reads: Reads) -> float:
    """Return the wanted standard uncertainty of the mean in cd/m²: the share of the light, not below the floor."""
    share = (reads.until or 0.0) * max(luminance_cd_m2, 0.0)
    return max(share, reads.until_cd_m2 or 0.0)


def total_readings(first: Sequence[float], reads: Reads, noise: NoiseModel | None = None) -> int:
    """Return how many readings a patch gets in all, the first stage included.

    n = max(n0, ceil(k (s/u)²)) with s the scatter of the first stage alone and k = ν/(ν - 2) for its ν = n0 - 1
    degrees of freedom, 2.0 for five readings: then the mean's variance is u² at most *on average over s* (two-stage
    sampling after Stein 1945). Stopping when the running standard error looks small would be too hopeful. A fitted
    noise model adds its own degrees of freedom to s, unless the patch scatters clearly more than the model says.

    Args:
        first: Luminances in cd/m² of the first stage; readings that failed are ``nan``.
        reads: What the sequence asks.
        noise: The probe's noise as fitted at the start, for patches too dark to judge from five readings.
    """
    values = np.asarray([v for v in first if np.isfinite(v)], dtype=np.float64)
    n0 = first_stage(reads, noise)
    if not is_two_stage(reads):
        return reads.n
    if len(values) < 2:
        return n0
    mean, s2, dof = float(values.mean()), float(values.var(ddof=1)), float(len(values) - 1)
    if noise is not None and noise.dof > 0:
        s2, dof = _pooled(s2, dof, noise.sd(mean) ** 2, noise.dof)
    u = wanted_u(mean, reads)
    if u <= 0:
        return max(n0, reads.max)
    factor = dof / (dof - 2) if dof > 2 else 3.0
    return int(min(max(n0, math.ceil(factor * s2 / u**2)), max(reads.max, n0)))


def _pooled(s2: float, dof: float, model: float, model_dof: float) -> tuple[float, float]:
    from scipy.stats import f

    if model <= 0 or s2 / model > f.ppf(0.99, dof, min(model_dof, 1e6)):
        return s2, dof
    shared = min(model_dof, 1e6)
    return (dof * s2 + shared * model) / (dof + shared), dof + shared


def whole_periods(integration_s: float, refresh_hz: float, *, least_s: float = 0.2) -> float:
    """Return an integration time of whole refresh periods, not shorter than asked nor than ``least_s``.

    At least ten frames or 0.2 s, whichever is longer, so that the drive's own modulation averages out (common
    practice, no source).
    """
    if not (math.isfinite(refresh_hz) and refresh_hz > 0):
        return max(integration_s, least_s)
    least = max(integration_s, least_s, 10 / refresh_hz)
    # A hair under a whole number is that number: 0.2 s at 60 Hz is 12 periods, not 13.
    return math.ceil(least * refresh_hz - 1e-6) / refresh_hz
