"""How likely a step is without any change, where part of its uncertainty is known from few readings only.

One effective number of degrees of freedom (Welch-Satterthwaite) serves an interval of 95 %. Far out, where a family of
ten figures is judged, it is too sure: where a few placements happened to agree by chance, their part comes out small
and what is left looks well known. Here the part known least keeps its own degrees of freedom, and its Student's t is
convolved with that of all the rest (the distribution of Behrens and Fisher; JCGM 101, 6.4.9.4 for the scaled t).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from panelwear.uncertainty.coverage import effective_dof

Real = NDArray[np.float64]

_FALL, _STEP = 40.0, 0.04
"""The integral runs over y = asinh t, in which a density falls off as exp(-dof |y|): to e^-40 of it, in such steps."""

Part = tuple[float, float]
"""A standard uncertainty and its degrees of freedom (``inf`` allowed)."""


def chance_beyond(value: float, parts: Sequence[Part]) -> float:
    """Return the two-sided probability that uncorrelated parts alone make a value at least this far from zero.

    Args:
        value: the step, in the unit of the parts.
        parts: standard uncertainty and degrees of freedom of each; at least one above zero.

    It is never less than with one effective number of degrees of freedom, by which intervals are drawn: what is told
    from zero lies outside its interval.
    """
    known = [(u, dof) for u, dof in parts if u > 0]
    us, dofs = [u for u, _ in known], [dof for _, dof in known]
    far = np.array([abs(value)])
    plain = 2 * float(_above(far, math.hypot(*us), effective_dof(us, dofs))[0])
    least = max(range(len(known)), key=lambda i: us[i] ** 4 / dofs[i])
    rest = [part for i, part in enumerate(known) if i != least]
    if math.isinf(dofs[least]) or not rest:
        return plain
    farthest = math.ceil((_FALL / max(dofs[least], 1.0) + 5) / _STEP)
    u, dof = math.hypot(*(u for u, _ in rest)), effective_dof([u for u, _ in rest], [dof for _, dof in rest])
    y = _STEP * np.arange(-farthest, farthest + 1)
    t = np.sinh(y)
    weight = _density(t, dofs[least]) * np.cosh(y) * _STEP
    above = _above(far - us[least] * t, u, dof)
    tails = above + above[::-1]  # t is the same below zero as above it
    return max(float(weight @ tails), plain)


def _above(values: Real, u: float, dof: float) -> Real:
    """Return the chance of more than each value, of a scaled t or a normal distribution round zero."""
    from scipy.special import ndtr, stdtr

    z = -values / u
    return np.asarray(ndtr(z) if math.isinf(dof) else stdtr(dof, z), dtype=np.float64)


def _density(t: Real, dof: float) -> Real:
    log_scale = math.lgamma((dof + 1) / 2) - math.lgamma(dof / 2) - 0.5 * math.log(dof * math.pi)
    return np.asarray(np.exp(log_scale - (dof + 1) / 2 * np.log1p(t**2 / dof)), dtype=np.float64)
