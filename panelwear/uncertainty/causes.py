"""Causes of uncertainty side by side, as one matrix: what each moves, and the table of uncertainties that follows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.uncertainty.estimate import Component

Real = NDArray[np.float64]
Whole = NDArray[np.intp]

CRUMB = 1e-4
"""Share of the whole up to which a cause is not told: what cancels leaves crumbs of the numerical derivative."""


@dataclass(frozen=True, slots=True, eq=False)
class Source:
    """One cause of uncertainty."""

    name: str
    factor: Real
    """``(k, 3, r)``: movement of every X, Y, Z in cd/m² by each of r independent standard deviates, at least one."""
    dof: float = math.inf
    kind: str = "B"
    note: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Causes:
    """Sources in the order of the columns of a matrix of movements; each has as many columns as deviates."""

    sources: tuple[Source, ...]
    starts: Whole
    """First column of each."""
    columns: int
    names: tuple[str, ...]
    """Every name once."""
    named: Whole
    """Which of the names each source bears."""
    per_dof: Real
    """One over each source's degrees of freedom."""

    def shares(self, by: Real) -> Real:
        """Return the standard uncertainty each source gives to each result, ``(sources, q)`` of ``(q, columns)``."""
        if not self.sources:
            return np.zeros((0, len(by)))
        return np.sqrt(np.add.reduceat(by * by, self.starts, axis=1).T)

    def components_of(self, by: Real) -> tuple[Component, ...]:
        """Return the table of uncertainties of one result, moved by ``(columns,)``."""
        return self.components(self.shares(by[None])[:, 0])

    def components(self, us: Real) -> tuple[Component, ...]:
        """Gather one result's contributions by name: root sum of squares, Welch-Satterthwaite within a name.

        Args:
            us: standard uncertainty that each source gives to the result, ``(sources,)``.
        """
        squares = us * us
        kept = us > CRUMB * math.sqrt(squares.sum())
        squares = np.where(kept, squares, 0.0)
        total = np.bincount(self.named, squares, len(self.names)).tolist()
        spent = np.bincount(self.named, squares * squares * self.per_dof, len(self.names)).tolist()
        first: dict[int, Source] = {}
        for i, name in enumerate(self.named.tolist()):
            if kept[i]:
                first.setdefault(name, self.sources[i])
        return tuple(
            Component(one.name, math.sqrt(total[i]), total[i] ** 2 / spent[i] if spent[i] > 0 else math.inf, one.kind,
                      one.note)
            for i, one in first.items()
        )  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Stack:
    """Causes with what they do to some patches."""

    causes: Causes
    factor: Real
    """``(3 k, columns)``: movement of every X, Y, Z of k patches in cd/m² by each deviate of each source."""

    def moves(self, slopes: Real) -> Real:
        """Return the movements of some results, ``(q, columns)``, by their derivatives ``(q, k, 3)``."""
        return slopes.reshape(len(slopes), -1) @ self.factor


def causes_of(sources: Sequence[Source], widths: Sequence[int]) -> Causes:
    """Put sources side by side; ``widths``: columns of each."""
    numbers: dict[str, int] = {}
    named = np.array([numbers.setdefault(s.name, len(numbers)) for s in sources], dtype=np.intp)
    ends = np.cumsum(widths, dtype=np.intp)
    per_dof = np.array([1 / s.dof for s in sources])
    return Causes(tuple(sources), ends - widths, int(ends[-1]) if len(ends) else 0, (*numbers,), named, per_dof)


def stack_of(sources: Sequence[Source]) -> Stack:
    """Put at least one source side by side with others."""
    flat = [s.factor.reshape(-1, s.factor.shape[-1]) for s in sources]
    return Stack(causes_of(sources, [one.shape[1] for one in flat]), np.hstack(flat))
