"""Several results of one checkpoint at once, with what moves them together, so that a comparison can subtract them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Self

import numpy as np
from numpy.typing import NDArray

from panelwear.figures.evidence import Evidence, flags_of
from panelwear.figures.means import Mean
from panelwear.uncertainty.causes import Causes, Source, causes_of
from panelwear.uncertainty.estimate import Component, Estimate, combine
from panelwear.uncertainty.propagate import FINE_STEP, Function, jacobian

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Movement:
    """How far one cause of uncertainty moves each result."""

    source: Source
    by: Real
    """``(q, r)``."""


@dataclass(frozen=True, slots=True, eq=False)
class JointFigures:
    """Results ``(q,)`` of one checkpoint with everything that moves them."""

    values: Real
    causes: Causes
    by: Real
    """How far every deviate of every cause moves each result, ``(q, columns)``."""
    note: str = ""

    @property
    def moved(self) -> tuple[Movement, ...]:
        """Cause by cause."""
        ends = [*self.causes.starts.tolist(), self.causes.columns]
        return tuple(
            Movement(s, self.by[:, a:b]) for s, (a, b) in zip(self.causes.sources, pairwise(ends), strict=True)
        )

    @property
    def covariance(self) -> Real:
        """Covariance of the results, ``(q, q)``."""
        return self.by @ self.by.T

    def times(self, matrix: Real) -> Self:
        """Return linear combinations of the results, ``matrix`` ``(p, q)``."""
        return replace(self, values=matrix @ self.values, by=matrix @ self.by)

    def and_by(self, more: Iterable[Movement]) -> Self:
        """Return the same, moved by further causes too."""
        causes, by = gathered([*self.moved, *more], len(self.values))
        return replace(self, causes=causes, by=by)

    def components_of(self, i: int) -> tuple[Component, ...]:
        """Return the table of uncertainties of one result."""
        return self.causes.components_of(self.by[i])

    def estimate(self, i: int, name: str, unit: str, caption: str = "") -> Estimate:
        """Return one result as an estimate."""
        return combine(name, float(self.values[i]), unit, self.components_of(i), note=self.note, caption=caption)

    def percent(self, i: int, name: str, caption: str = "") -> Estimate:
        """Return one result that is 100 ln of a ratio as the ratio less one in %."""
        return percent(self.estimate(i, name, "%", caption))


def percent(log_ratio: Estimate) -> Estimate:
    """Turn 100 ln of a ratio into the ratio less one in %."""
    scale = math.exp(log_ratio.value / 100)
    return replace(
        log_ratio,
        value=100 * (scale - 1),
        u=scale * log_ratio.u,
        components=tuple(Component(c.name, scale * c.u, c.dof, c.kind, c.note) for c in log_ratio.components),
    )


def jointly(
    evidence: Evidence,
    means: Sequence[Mean],
    function: Function,
    step: float = FINE_STEP,
    more: Sequence[Source] = (),
) -> JointFigures | None:
    """Work out a function ``(m, k, 3)`` to ``(m, q)`` of some patches; ``None`` where it has no finite value.

    ``step``: of the numerical derivative; ``more``: causes of uncertainty beyond the session's own.
    """
    XYZ = np.stack([m.XYZ for m in means])
    with np.errstate(divide="ignore", invalid="ignore"):
        values, slopes = jacobian(function, XYZ, step)
    flat = slopes.reshape(len(slopes), -1)
    if not (np.isfinite(values).all() and np.isfinite(flat).all()):
        return None
    stack = evidence.stack(means)
    found = JointFigures(values, stack.causes, stack.moves(slopes), flags_of(means))
    return found.and_by(Movement(s, flat @ s.factor.reshape(flat.shape[1], -1)) for s in more) if more else found


def gathered(moved: Sequence[Movement], results: int) -> tuple[Causes, Real]:
    """Return causes side by side, and how far they move so many results, ``(q, columns)``."""
    causes = causes_of([m.source for m in moved], [m.by.shape[1] for m in moved])
    return causes, np.hstack([np.zeros((results, 0)), *(m.by for m in moved)])
