"""How far the grey ramp lies from two curves a display may be asked to follow: a stated gamma, and the GSDF.

Gamma: luminance at each code against black + (white - black) (code / 255)^gamma, in per cent of that. GSDF: contrast a
just-noticeable step from each level to the next, 2 ΔL / (ΣL ΔJ), against what the display function itself gives between
the same two targets, whose steps J are shared out evenly over the codes from black to white (AAPM TG18, luminance
response; DICOM PS3.14, 7.1). A panel with a gamma of 2.2 is no GSDF display and lies tens of per cent off: that is its
curve, not wear.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from panelwear.colorimetry.gsdf import index_of, luminance_of
from panelwear.figures.evidence import Evidence, Told
from panelwear.figures.means import Mean
from panelwear.figures.pick import black, ramp
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.propagate import Function

ORDER = 45
LEAST = 4
"""Levels a curve is judged by at the least."""
Real = NDArray[np.float64]


def figures(evidence: Evidence) -> list[Estimate]:
    """Return ``gamma.error_mean``, ``gamma.error_max``, ``gsdf.error_mean`` and ``gsdf.error_max``, in %."""
    levels = [m for m in ramp(evidence) if m.code > 0 and not evidence.is_dark(m)]
    if len(levels) < LEAST or levels[-1].code != 255:
        return []
    dark = black(evidence)
    base = [dark] if dark is not None else []
    return [*_against_gamma(evidence, levels, base), *_against_gsdf(evidence, levels)]


def _against_gamma(evidence: Evidence, levels: list[Mean], base: list[Mean]) -> list[Estimate]:
    gamma, drive = evidence.record.gamma, np.array([m.code / 255 for m in levels])

    def errors(XYZ: Real) -> Real:
        light = XYZ[:, : len(levels), 1]
        under = XYZ[:, len(levels) :, 1] if base else np.zeros((len(XYZ), 1))
        wanted = under + (light[:, -1:] - under) * drive**gamma
        return np.asarray(100 * (light / wanted - 1)[:, :-1])

    names = [f"code {m.code:g}" for m in levels[:-1]]
    return _two(evidence, ("gamma", f"luminance against gamma {gamma:g}"), errors, [*levels, *base], names)


def _against_gsdf(evidence: Evidence, levels: list[Mean]) -> list[Estimate]:
    codes = np.array([m.code for m in levels])
    share = (codes - codes[0]) / (codes[-1] - codes[0])

    def errors(XYZ: Real) -> Real:
        L = XYZ[:, :, 1]
        ends = index_of(L[:, [0, -1]])
        J = ends[:, :1] + (ends[:, 1:] - ends[:, :1]) * share
        target = luminance_of(J)
        return np.asarray(100 * (_contrast(L, J) / _contrast(target, J) - 1))

    names = [f"drive levels {a.code:g} to {b.code:g}" for a, b in pairwise(levels)]
    return _two(evidence, ("gsdf", "contrast a visible step against the GSDF"), errors, levels, names)


def _contrast(L: Real, J: Real) -> Real:
    return np.asarray(2 * np.diff(L, axis=1) / ((L[:, 1:] + L[:, :-1]) * np.diff(J, axis=1)))


def _two(
    evidence: Evidence, what: tuple[str, str], errors: Function, means: list[Mean], where: list[str]
) -> list[Estimate]:
    """Return the mean of the absolute errors, and the largest of them with its sign and place."""
    name, said = what
    found = errors(np.stack([m.XYZ for m in means])[None])[0]
    at, signs = int(np.argmax(np.abs(found))), np.sign(found)
    told = [
        Told(f"{name}.error_mean", "%", f"{said}, mean"),
        Told(f"{name}.error_max", "%", f"{said}, largest ({where[at]})"),
    ]

    def both(XYZ: Real) -> Real:
        each = errors(XYZ)
        # The same level and the same signs whatever the variant: neither may jump under a derivative.
        return np.column_stack([(signs * each).mean(axis=1), each[:, at]])

    return evidence.estimates(told, means, both)
