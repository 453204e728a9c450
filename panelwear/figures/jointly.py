"""Several results of one checkpoint at once, with what moves them together, so that a comparison can subtract them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Self

import numpy as np
from numpy.typing import NDArray

from panelwear.figures.evidence import Evidence, flags_of
from panelwear.figures.means import Mean
from panelwear.uncertainty.estimate import Component, Estimate, combine
from panelwear.uncertainty.propagate import FINE_STEP, Function, Source, components, jacobian

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
    moved: tuple[Movement, ...]
    note: str = ""

    @property
    def covariance(self) -> Real:
        """Covariance of the results, ``(q, q)``."""
        q = len(self.values)
        return np.sum([m.by @ m.by.T for m in self.moved], axis=0) if self.moved else np.zeros((q, q))

    def times(self, matrix: Real) -> Self:
        """Return linear combinations of the results, ``matrix`` ``(p, q)``."""
        moved = tuple(Movement(m.source, matrix @ m.by) for m in self.moved)
        return replace(self, values=matrix @ self.values, moved=moved)

    def components_of(self, i: int) -> tuple[Component, ...]:
        """Return the table of uncertainties of one result."""
        # As np.linalg.norm has it, to the last bit; asked ten thousand times a panel, its own checks would cost most.
        us = np.array([math.sqrt(row.dot(row)) for row in (m.by[i] for m in self.moved)])
        return components(us, [m.source for m in self.moved])

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
    moved = tuple(Movement(s, flat @ s.factor.reshape(flat.shape[1], -1)) for s in [*evidence.sources(means), *more])
    return JointFigures(values, moved, flags_of(means))
