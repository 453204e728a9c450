"""Weighted least squares with a model that bends: the one fitter of the laws of ageing.

Levenberg and Marquardt's way with a region of trust (scipy's ``least_squares``, method ``trf``), steps scaled by the
derivatives, derivatives by central differences. Held against four sets of the NIST Statistical Reference Datasets.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]
Model = Callable[[Real], Real]
"""From parameters ``(k,)`` to what they make of every observation ``(n,)``."""

STEP = np.finfo(float).eps ** (1 / 3)
"""Of a central difference, as a share of its parameter."""
TOLERANCE, MOST_CALLS = 1e-15, 5000


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """Parameters with what is known of them."""

    values: Real
    u: Real
    """Standard uncertainties."""
    chi2: float
    """Sum of weighted squares at the values."""
    spare: int
    """Observations less parameters."""
    ended: bool
    """False: it stopped before it came to rest, and the values are no result."""


def fit(
    model: Model,
    start: Sequence[float],
    y: Real,
    covariance: Real | None = None,
    bounds: tuple[Sequence[float], Sequence[float]] | None = None,
) -> Fit:
    """Fit a model to observations.

    Args:
        model: what parameters make of every observation.
        start: first parameters ``(k,)``.
        y: observations ``(n,)``; what is known of a parameter beforehand is one more, with its variance.
        covariance: of the observations ``(n, n)``; without it all weigh the same and the scatter tells how much.
        bounds: least and largest parameters.
    """
    from scipy.optimize import least_squares

    whiten = np.eye(len(y)) if covariance is None else np.linalg.inv(np.linalg.cholesky(covariance))

    def away(p: Real) -> Real:
        with np.errstate(all="ignore"):
            return np.nan_to_num(whiten @ (model(p) - y), nan=1e150, posinf=1e150, neginf=-1e150)

    def sloping(p: Real) -> Real:
        return derivatives(away, p)

    limits = (-np.inf, np.inf) if bounds is None else bounds
    with np.errstate(all="ignore"):
        found = least_squares(
            away, np.array(start, float), sloping, bounds=limits, method="trf",
            x_scale="jac", xtol=TOLERANCE, ftol=TOLERANCE, gtol=TOLERANCE, max_nfev=MOST_CALLS,
        )  # fmt: skip
    chi2, spare = float(2 * found.cost), len(y) - len(found.x)
    J = derivatives(away, found.x)
    scale = chi2 / spare if covariance is None and spare > 0 else 1.0
    size = np.linalg.norm(J, axis=0)
    size[size == 0] = 1.0  # a parameter that moves nothing
    spread = np.linalg.pinv((J / size).T @ (J / size)) / np.outer(size, size)
    u = np.sqrt(np.maximum(np.diag(spread), 0) * scale)
    return Fit(np.asarray(found.x), u, chi2, spare, bool(found.status > 0 and math.isfinite(chi2)))


def derivatives(of: Model, at: Real) -> Real:
    """Return the derivatives ``(n, k)`` of a function by central differences."""
    columns = []
    for i, value in enumerate(at):
        step = STEP * max(abs(float(value)), 1e-9)
        up, down = at.copy(), at.copy()
        up[i], down[i] = value + step, value - step
        columns.append((of(up) - of(down)) / (up[i] - down[i]))
    return np.array(columns).T
