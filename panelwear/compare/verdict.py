"""From a change and its uncertainty to one of three words. "Not significant" never becomes "no change".

``changed``: the step is significant, with the family's chance of any false alarm held to 5 % by Holm's procedure
(Holm 1979). ``no change larger than X``: the whole interval lies inside ±X, and X is small enough to be worth saying
(equivalence by two one-sided tests, Schuirmann 1987). ``undecided``: neither.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from panelwear.compare.changes import VectorChange
from panelwear.uncertainty.coverage import t_factor
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.tails import chance_beyond

Verdict = Literal["changed", "no change larger than", "undecided"]


@dataclass(frozen=True, slots=True)
class Judged:
    """A verdict with what it rests on."""

    verdict: Verdict
    p: float
    """Two-sided probability of a step this large without any change, before Holm."""
    bound: float
    """Least X for which the interval lies inside ±X, in the step's unit."""
    worth: float
    """Change worth knowing of, in the step's unit; a larger bound leaves the verdict open."""
    why: str = ""
    """Why a verdict is withheld, where it is."""


def p_of(step: Estimate) -> float:
    """Return the two-sided p value of a step against zero; the part known least keeps its own degrees of freedom."""
    if not (math.isfinite(step.value) and step.u > 0):
        return math.nan
    parts = [(c.u, c.dof) for c in step.components]
    told = math.isclose(math.hypot(*(u for u, _ in parts)), step.u, rel_tol=1e-6)
    return chance_beyond(step.value, parts if told else [(step.u, step.dof)])


def p_of_vector(change: VectorChange) -> float:
    """Return the p value of a two-dimensional step against zero: Hotelling's T², F with 2 and dof - 1.

    For infinitely many degrees of freedom this is the χ² of two dimensions, whose 95 % point is 5.99. ``nan``, as for
    a single figure, where there is no uncertainty to judge by.
    """
    from scipy.special import fdtrc

    d, covariance = np.array(change.values), np.array(change.covariance)
    if np.linalg.matrix_rank(covariance, hermitian=True) < 2:
        return math.nan
    T2 = float(d @ np.linalg.solve(covariance, d))
    if math.isinf(change.dof):
        return math.exp(-T2 / 2)
    spare = max(change.dof - 1, 1.0)
    return float(fdtrc(2, spare, T2 * spare / (2 * change.dof)))


def holm(ps: Sequence[float], alpha: float = 0.05, weights: Sequence[float] = ()) -> tuple[bool, ...]:
    """Return which of a family of tests reject (Holm 1979); a missing p value (``nan``) is not in the family.

    ``weights``: how the chance of a false alarm is shared out, fixed before anything is seen; by default alike.
    """
    share = weights or [1.0] * len(ps)
    asked = [i for i, p in enumerate(ps) if not math.isnan(p)]
    found, left = [False] * len(ps), math.fsum(share[i] for i in asked)
    for i in sorted(asked, key=lambda i: ps[i] / share[i]):
        if ps[i] > alpha * share[i] / left:
            break
        found[i] = True
        left -= share[i]
    return tuple(found)


def simes(ps: Sequence[float]) -> float:
    """Return one p value for several views of one change, of which any may carry it (Simes 1986).

    The j-th smallest of k counts k/j times, so views that agree cost nothing, and one alone costs as by Bonferroni. It
    holds for views that move together, as zones' greys and hues do, which share their placements (Sarkar 1998). Missing
    ones (``nan``) are no views; ``nan`` without any.
    """
    known = sorted(p for p in ps if not math.isnan(p))
    return min((len(known) / rank * p for rank, p in enumerate(known, start=1)), default=math.nan)


def hochberg(ps: Sequence[float], alpha: float = 0.05) -> tuple[bool, ...]:
    """Return which of some tests that move together reject (Hochberg 1988, the companion of ``simes``)."""
    asked = sorted((i for i, p in enumerate(ps) if not math.isnan(p)), key=lambda i: ps[i])
    most = max((rank for rank, i in enumerate(asked) if ps[i] <= alpha / (len(asked) - rank)), default=-1)
    return tuple(i in asked[: most + 1] for i in range(len(ps)))


def bound_of(step: Estimate, level: float = 0.95) -> float:
    """Return the least X for which the interval of the step lies inside ±X.

    The interval is the two-sided one that is printed beside it, so the two can never contradict each other; as two
    one-sided tests that is (1 - level) / 2 each.
    """
    if not math.isfinite(step.value):
        return math.inf
    return abs(step.value) + (t_factor(step.dof, level) * step.u if step.u > 0 else 0.0)


def judge(step: Estimate, p: float, rejected: bool, *, worth: float, level: float = 0.95, why: str = "") -> Judged:
    """Put a step into one of the three words.

    Args:
        step: the change.
        p: its p value.
        rejected: whether the family's procedure tells it from zero.
        worth: change worth knowing of, in the step's unit.
        level: of the interval.
        why: reason to withhold the verdict, where there is one.
    """
    bound = bound_of(step, level)
    if why or math.isnan(p):
        return Judged("undecided", p, bound, worth, why or step.note or "cannot be worked out from these readings")
    if rejected:
        return Judged("changed", p, bound, worth)
    return Judged("no change larger than" if bound <= worth else "undecided", p, bound, worth)
