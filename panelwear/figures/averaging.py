"""Readings averaged patch by patch, all patches at once."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.figures.means import TOLD_FLAGS, Mean, root_of
from panelwear.panel.timeline import DriftFactor, shared_out
from panelwear.readings.table import ReadingTable
from sequences.keys import PatchKey

Real = NDArray[np.float64]
Whole = NDArray[np.int64]
Rows = NDArray[np.intp]

MANY = 500
"""Readings whose scatter is kept one by one; of more its root."""
STEPS_A_VISIT = 1_000_000


def means_of(table: ReadingTable, groups: Sequence[Rows], drift: DriftFactor) -> list[Mean]:
    """Average readings patch by patch; X, Y, Z are averaged, never x, y (dark noisy ones would be biased).

    Args:
        table: readings, drift taken out.
        groups: rows of each patch by their numbers in the table, at least one each.
        drift: how each deviate of the drift fits would move the readings of the table.
    """
    if not groups:
        return []
    sizes = np.array([len(rows) for rows in groups])
    laid = _Laid(np.concatenate(groups), np.repeat(np.arange(len(groups)), sizes), np.cumsum(sizes) - sizes, sizes)
    light, colour = _light(table, laid)
    away, dof = _away(table, laid, light)
    visits = _visits(table.visit[laid.rows], laid)
    moved = drift.means(laid.rows, laid.group, sizes)
    flags = _flags(table, laid)
    means = np.add.reduceat(light, laid.starts) / sizes[:, None]
    told = _columns(table, laid.rows[laid.starts])
    found = []
    for i, (patch, purpose, pattern, red, green, blue, lit_share) in enumerate(told):
        key, n = PatchKey.parse(patch), int(sizes[i])
        mine = slice(laid.starts[i], laid.starts[i] + n)
        found.append(
            Mean(
                key=patch,
                group=key.group,
                place=key.place,
                hue=key.hue,
                level=key.level,
                geometry=key.geometry,
                purpose=purpose,
                pattern=pattern,
                codes=(red, green, blue),
                lit_share=lit_share,
                XYZ=means[i],
                has_colour=bool(colour[i]),
                scatter=_scatter(away[mine], dof[i]) if dof[i] > 0 else np.zeros((3, 1)),
                n=n,
                dof=dof[i],
                visits=visits[i],
                drift=moved[i],
                flags=flags[i],
            )
        )
    return found


@dataclass(frozen=True, slots=True, eq=False)
class _Laid:
    """Rows of all patches behind each other."""

    rows: Rows
    group: Whole
    """Number of the patch of each row."""
    starts: Whole
    """Where each patch begins."""
    sizes: Whole


def _light(table: ReadingTable, laid: _Laid) -> tuple[Real, NDArray[np.bool_]]:
    """Return X, Y, Z row by row, Y thrice where a patch has no colour, and which patches have it."""
    light = table.XYZ[laid.rows]
    colour = np.logical_and.reduceat(np.isfinite(light).all(axis=1), laid.starts)
    return np.where(colour[laid.group, None], light, light[:, 1:2]), colour


def _away(table: ReadingTable, laid: _Laid, light: Real) -> tuple[Real, list[int]]:
    """Return how far each row is from the mean of its showing, and the degrees of freedom of each patch."""
    named = table.visit[laid.rows] * STEPS_A_VISIT + table.step[laid.rows]
    shown = np.unique(named, return_inverse=True)[1].reshape(-1)
    here = laid.group * (int(shown.max()) + 1) + shown
    first, showing, count = np.unique(here, return_index=True, return_inverse=True, return_counts=True)[1:]
    showing = showing.reshape(-1)
    means = np.column_stack([np.bincount(showing, light[:, c]) / count for c in range(3)])
    showings = np.bincount(laid.group[first], minlength=len(laid.sizes))
    return light - means[showing], (laid.sizes - showings).tolist()


def _visits(visit: Whole, laid: _Laid) -> list[dict[int, float]]:
    """Return the share of each patch's readings that each placement gave."""
    names, number = np.unique(visit, return_inverse=True)
    group, of_names, count = shared_out(laid.group, number.reshape(-1))
    found: list[dict[int, float]] = [{} for _ in laid.sizes]
    columns = (group, names[of_names], count / laid.sizes[group])
    for i, name, share in zip(*(column.tolist() for column in columns), strict=True):
        found[i][name] = share
    return found


def _flags(table: ReadingTable, laid: _Laid) -> list[tuple[str, ...]]:
    flagged = np.asarray(table.flags != "")[laid.rows]
    found: list[tuple[str, ...]] = [()] * len(laid.sizes)
    for i in np.unique(laid.group[flagged]).tolist():
        there = " ".join(table.flags[laid.rows[laid.group == i]].there())
        found[i] = tuple(told for told in TOLD_FLAGS if told in there)
    return found


def _columns(table: ReadingTable, first: Rows) -> list[tuple[str, str, str, float, float, float, float]]:
    """Return patch, purpose, pattern, drive levels and lit share of each patch's first row."""
    texts = (table.patch, table.purpose, table.pattern)
    numbers = (table.red, table.green, table.blue, table.lit_share)
    return list(
        zip(*(column[first].tolist() for column in texts), *(one[first].tolist() for one in numbers), strict=True)
    )


def _scatter(away: Real, dof: int) -> Real:
    """Return a factor of the covariance of the mean of readings this far from their showings' means, ``(n, 3)``."""
    if len(away) <= MANY:
        return np.asarray(away.T / math.sqrt(dof * len(away)))
    return root_of(away.T @ away / (dof * len(away)))
