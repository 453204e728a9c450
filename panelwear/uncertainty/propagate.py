"""Propagation through any function of several patches' X, Y, Z, with all that is common to them kept common.

Each cause of uncertainty is a ``Source``: a matrix that says how one standard normal deviate (or several) would move
every X, Y, Z at once. What is common to two patches (the probe's scale, one placement, drift) then cancels in their
ratio by itself, and stays where it must (JCGM 100, 5.2; JCGM 102).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from panelwear.uncertainty.causes import Source, Stack

Real = NDArray[np.float64]
Function = Callable[[Real], Real]
"""From ``(m, k, 3)`` X, Y, Z in cd/m² of k patches, m variants at once, to ``(m, q)`` results."""

FINE_STEP = 1e-5
"""Share of a patch's luminance a tristimulus value is moved by for a derivative; its square, 1e-10, is the error."""
COARSE_STEP = 1e-3
"""The same for colour temperature, whose numerical solution ripples by up to 0.06 K over a few kelvin."""


def jacobian(function: Function, XYZ: Real, step: float = FINE_STEP) -> tuple[Real, Real]:
    """Return results ``(q,)`` and derivatives ``(q, k, 3)`` by central differences, in one call of the function."""
    k = len(XYZ)
    steps = np.maximum(step * np.abs(XYZ[:, 1]), 1e-9)
    moves = np.diag(np.repeat(steps, 3)).reshape(3 * k, k, 3)
    results = function(np.concatenate([XYZ[None], XYZ + moves, XYZ - moves]))
    up, down = results[1 : 3 * k + 1], results[3 * k + 1 :]
    slopes = (up - down).reshape(k, 3, -1) / (2 * steps[:, None, None])
    return results[0], np.asarray(slopes.transpose(2, 0, 1), dtype=np.float64)


def contributions(slopes: Real, stack: Stack) -> Real:
    """Return the standard uncertainty each source gives to each result, ``(sources, q)``."""
    return stack.causes.shares(stack.moves(slopes))


def simulate(function: Function, XYZ: Real, sources: Sequence[Source], draws: int, seed: int) -> Real:
    """Return ``(draws, q)`` results of a Monte Carlo over the same sources (JCGM 101).

    A source known from few degrees of freedom is drawn from a scaled t distribution (JCGM 101, 6.4.9).
    """
    rng = np.random.default_rng(seed)
    moved = np.repeat(XYZ[None], draws, axis=0)
    for source in sources:
        deviates = rng.standard_normal((draws, source.factor.shape[-1]))
        if math.isfinite(source.dof):
            deviates /= np.sqrt(rng.chisquare(source.dof, draws) / source.dof)[:, None]
        moved += np.einsum("kcr,dr->dkc", source.factor, deviates)
    return function(moved)
