"""Propagation through any function of several patches' X, Y, Z, with all that is common to them kept common.

Each cause of uncertainty is a ``Source``: a matrix that says how one standard normal deviate (or several) would move
every X, Y, Z at once. What is common to two patches (the probe's scale, one placement, drift) then cancels in their
ratio by itself, and stays where it must (JCGM 100, 5.2; JCGM 102).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.uncertainty.estimate import Component

Real = NDArray[np.float64]
Function = Callable[[Real], Real]
"""From ``(m, k, 3)`` X, Y, Z in cd/m² of k patches, m variants at once, to ``(m, q)`` results."""

FINE_STEP = 1e-5
"""Share of a patch's luminance a tristimulus value is moved by for a derivative; its square, 1e-10, is the error."""
COARSE_STEP = 1e-3
"""The same for colour temperature, whose numerical solution ripples by up to 0.06 K over a few kelvin."""


@dataclass(frozen=True, slots=True, eq=False)
class Source:
    """One cause of uncertainty."""

    name: str
    factor: Real
    """``(k, 3, r)``: movement of every X, Y, Z in cd/m² by each of r independent standard deviates."""
    dof: float = math.inf
    kind: str = "B"
    note: str = ""


def jacobian(function: Function, XYZ: Real, step: float = FINE_STEP) -> tuple[Real, Real]:
    """Return results ``(q,)`` and derivatives ``(q, k, 3)`` by central differences, in one call of the function."""
    k = len(XYZ)
    steps = np.maximum(step * np.abs(XYZ[:, 1]), 1e-9)
    moves = np.diag(np.repeat(steps, 3)).reshape(3 * k, k, 3)
    results = function(np.concatenate([XYZ[None], XYZ + moves, XYZ - moves]))
    up, down = results[1 : 3 * k + 1], results[3 * k + 1 :]
    slopes = (up - down).reshape(k, 3, -1) / (2 * steps[:, None, None])
    return results[0], np.asarray(slopes.transpose(2, 0, 1), dtype=np.float64)


def contributions(slopes: Real, sources: Sequence[Source]) -> Real:
    """Return the standard uncertainty each source gives to each result, ``(sources, q)``."""
    flat = slopes.reshape(len(slopes), -1)
    moved = (flat @ s.factor.reshape(flat.shape[1], -1) for s in sources)
    # As np.linalg.norm has it, to the last bit, without its checks, which cost more than the rest.
    rows = [np.sqrt(np.add.reduce(by * by, axis=1)) for by in moved]
    return np.array(rows, dtype=np.float64).reshape(len(rows), len(slopes))


def covariance(slopes: Real, sources: Sequence[Source]) -> Real:
    """Return the covariance matrix of the results, ``(q, q)``."""
    flat = slopes.reshape(len(slopes), -1)
    total = np.zeros((len(slopes), len(slopes)))
    for source in sources:
        moved = flat @ source.factor.reshape(flat.shape[1], -1)
        total += moved @ moved.T
    return total


def components(us: Real, sources: Sequence[Source]) -> tuple[Component, ...]:
    """Gather one result's contributions by name: root sum of squares, Welch-Satterthwaite within a name."""
    gathered: dict[str, list[tuple[float, Source]]] = {}
    least = 1e-4 * math.sqrt(us.dot(us))
    for u, source in zip(us.tolist(), sources, strict=True):
        # What cancels leaves crumbs of the numerical derivative: they are not told.
        if u > least:
            gathered.setdefault(source.name, []).append((u, source))
    found = []
    for name, parts in gathered.items():
        u = math.sqrt(sum(part**2 for part, _ in parts))
        spent = sum(part**4 / s.dof for part, s in parts if math.isfinite(s.dof))
        dof = u**4 / spent if spent > 0 else math.inf
        found.append(Component(name, u, dof, parts[0][1].kind, parts[0][1].note))
    return tuple(found)


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
