"""From two values to a change, with what is common to both taken out and what stays kept.

What one calibration brings to both checkpoints alike (its scale, its chromaticity, the probe's linearity) is moved
together and so cancels as far as it really is alike; everything else stays. Two ways lead here: ``between`` for two
estimates with their tables of uncertainties, and ``jointly`` and ``step_between`` for functions of several patches
whose results are needed with their covariance (u' and v', three channels, many levels of a zone).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from panelwear.figures.evidence import Evidence, flags_of
from panelwear.figures.jointly import JointFigures, Movement, gathered
from panelwear.figures.means import Mean
from panelwear.uncertainty.causes import CRUMB
from panelwear.uncertainty.estimate import Component, Estimate, combine
from panelwear.uncertainty.propagate import FINE_STEP, Function, jacobian

Real = NDArray[np.float64]

COMMON = frozenset({"calibration scale", "calibration chromaticity", "linearity", "aperture"})
"""What one probe with one calibration and one matrix brings to every checkpoint alike."""
NOTHING_COMMON: frozenset[str] = frozenset()
MOSTLY = 0.25
"""An uncertainty counts as cancelled when less than this share is left; what is left stays in the sum all the same."""

Form = Literal["ratio", "difference"]


@dataclass(frozen=True, slots=True)
class Change:
    """What a figure did from one checkpoint to another."""

    name: str
    caption: str
    before: Estimate
    after: Estimate
    step: Estimate
    """After over before less one in %, or after less before in the figure's own unit."""
    cancelled: tuple[str, ...] = ()
    """Uncertainties that dropped out because both checkpoints share them."""


@dataclass(frozen=True, slots=True)
class VectorChange:
    """A step in two dimensions, such as (Δu', Δv')."""

    values: tuple[float, float]
    covariance: tuple[tuple[float, float], tuple[float, float]]
    dof: float
    """Effective degrees of freedom in the direction of the step."""


@dataclass(frozen=True, slots=True, eq=False)
class Step(JointFigures):
    """After less before, with covariance and a table of uncertainties for each result."""

    cancelled: tuple[str, ...] = ()
    """Uncertainties that dropped out because both checkpoints share them."""

    def vector(self) -> VectorChange:
        """Return the first two steps as a vector."""
        C = self.covariance[:2, :2]
        v = self.values[:2]
        size = float(np.linalg.norm(v))
        along = self.times((v / size if size > 0 else np.array([1.0, 0.0]))[None, : len(self.values)])
        return VectorChange(
            (float(v[0]), float(v[1])),
            ((float(C[0, 0]), float(C[0, 1])), (float(C[1, 0]), float(C[1, 1]))),
            along.estimate(0, "", "").dof,
        )


def step_between(before: JointFigures, after: JointFigures, common: frozenset[str] = COMMON) -> Step:
    """Subtract two results; sources named in ``common`` move both together, all others each alone."""
    moved: list[Movement] = []
    cancelled: list[str] = []
    # Several sources may bear one name: the first goes with the first, the second with the second.
    shared: dict[str, list[Movement]] = {}
    for one in before.moved:
        kept = shared.setdefault(one.source.name, []) if one.source.name in common else moved
        kept.append(one)
    least = CRUMB * np.linalg.norm(after.by)
    for one in after.moved:
        others = shared.get(one.source.name, [])
        if not others or others[0].by.shape != one.by.shape:
            moved.append(one)
            continue
        left = one.by - others.pop(0).by
        size = np.linalg.norm(one.by)
        if size > least and np.linalg.norm(left) < MOSTLY * size:
            cancelled.append(one.source.name)
        moved.append(Movement(one.source, left))
    moved += [one for unmatched in shared.values() for one in unmatched]
    note = "; ".join(dict.fromkeys(part for part in (before.note, after.note) if part))
    causes, by = gathered(moved, len(after.values))
    return Step(after.values - before.values, causes, by, note, tuple(dict.fromkeys(cancelled)))


def between(before: Estimate, after: Estimate, form: Form, common: frozenset[str] = COMMON) -> Change:
    """Subtract two estimates, or take their ratio less one in %; Welch-Satterthwaite over what stays.

    A component in ``common`` moves both the same way, so only the difference of what it does stays.
    """
    ratio = form == "ratio"
    usable = math.isfinite(before.value) and math.isfinite(after.value)
    if ratio and not (usable and before.value > 0 and after.value > 0):
        return _without(before, after, "%", "a ratio needs two values above zero")
    if not usable:
        return _without(before, after, before.unit, before.note or after.note)
    size = 100 * after.value / before.value if ratio else 1.0
    share_before = size / before.value if ratio else 1.0
    share_after = size / after.value if ratio else 1.0
    parts, cancelled = _components(before, after, (share_before, share_after), common)
    value = size - 100 if ratio else after.value - before.value
    unit = "%" if ratio else before.unit
    note = "; ".join(dict.fromkeys(part for part in (before.note, after.note) if part))
    step = combine(after.name, value, unit, parts, note=note, caption=after.caption)
    return Change(after.name, after.caption, before, after, step, cancelled)


def _components(
    before: Estimate, after: Estimate, shares: tuple[float, float], common: frozenset[str]
) -> tuple[tuple[Component, ...], tuple[str, ...]]:
    then = {c.name: replace(c, u=c.u * abs(shares[0])) for c in before.components}
    now = {c.name: replace(c, u=c.u * abs(shares[1])) for c in after.components}
    found, cancelled = [], []
    for name in dict.fromkeys([*then, *now]):
        both = [c for c in (then.get(name), now.get(name)) if c is not None]
        if name in common and len(both) == 2:
            left = abs(both[0].u - both[1].u)
            cancelled.append(name)
            found.append(replace(both[0], u=left))
            continue
        u = math.sqrt(sum(c.u**2 for c in both))
        spent = sum(c.u**4 / c.dof for c in both if c.u > 0 and math.isfinite(c.dof))
        found.append(replace(both[-1], u=u, dof=u**4 / spent if spent > 0 else math.inf))
    total = math.sqrt(sum(c.u**2 for c in found))
    return tuple(c for c in found if c.u > 1e-4 * total), tuple(cancelled)


def _without(before: Estimate, after: Estimate, unit: str, why: str) -> Change:
    step = Estimate(after.name, math.nan, unit, math.nan, note=why, caption=after.caption)
    return Change(after.name, after.caption, before, after, step)


def added(change: Change, extra: Sequence[Component]) -> Change:
    """Return the change with further uncertainties, in the unit of its step."""
    if not extra or not math.isfinite(change.step.value):
        return change
    step = change.step
    wider = combine(
        step.name, step.value, step.unit, (*step.components, *extra), note=step.note, caption=step.caption
    )  # fmt: skip
    return replace(change, step=wider)


def as_ratio(function: Callable[[Real], Real]) -> Function:
    """Make a function of ``(m, k, 3)`` that returns 100 ln of ``(m,)`` as ``(m, 1)``."""
    return lambda XYZ: 100 * np.log(function(XYZ))[:, None]


def joint(
    sides: tuple[tuple[Evidence, Sequence[Mean]], tuple[Evidence, Sequence[Mean]]],
    function: Function,
    common: frozenset[str] = COMMON,
    step: float = FINE_STEP,
) -> Step | None:
    """Work out a function of patches of two checkpoints at once, ``(m, k + l, 3)`` to ``(m, q)``.

    The first k patches are the earlier checkpoint's. ``None`` where there is no finite value.
    """
    (then, means_then), (now, means_now) = sides
    k = len(means_then)
    XYZ = np.stack([m.XYZ for m in (*means_then, *means_now)])
    with np.errstate(divide="ignore", invalid="ignore"):
        values, slopes = jacobian(function, XYZ, step)
    if not (np.isfinite(values).all() and np.isfinite(slopes).all()):
        return None
    # Both slopes carry their own sign, so what is common adds up here where ``step_between`` subtracts.
    earlier, later = then.stack(means_then), now.stack(means_now)
    found = step_between(
        JointFigures(np.zeros_like(values), earlier.causes, -earlier.moves(slopes[:, :k])),
        JointFigures(values, later.causes, later.moves(slopes[:, k:])),
        common,
    )
    return replace(found, note=flags_of([*means_then, *means_now]))
