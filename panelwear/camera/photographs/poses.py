"""Lens parted from panel: the same field in several poses of the camera, by least squares."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.view import PanelView
from panelwear.camera.wear.contrast import slow_shapes
from panelwear.telling.words import percent

Real = NDArray[np.float64]
DEGREE = 6
"""Of the polynomial the lens's fall-off is taken for, over the whole frame."""
LEAST_SHIFT = 0.1
"""Share of the frame by which two poses have to be shifted: at half of it the noise is twice that of a known lens."""
LEAST_ASIDE_DEG = 30.0
"""Between the directions of two shifts; nearer to parallel, a linear fall-off stays open."""
LEAST_UNLIKE = 1.1
"""Ratio of the two shifts' lengths at least: patterns with a shift's own period are not seen by it."""
TURNED_DEG = 20.0
"""A turn counts as one by 180 degrees within so much."""
SMALLEST_SINGULAR = 1e-7
"""Relative to the largest; waves of the fall-off below it are not determined at all and are left out. A small one that
is determined badly stays in, and shows in the uncertainty."""
LENS_TERM = 0.1
"""Standard deviation of each term of the fall-off's logarithm before anything is photographed: cos^4 of a lens of 50 mm
(full-frame equivalent) has 0.12 in its largest (computed). What the poses do not determine stays as large as this."""
GAIN_U = 1.0
"""The same of an exposure's logarithm: it is as good as not known."""
_GRID = (18, 32)
"""Rows and columns at which the fall-off's uncertainty is looked at."""
THINNED = 5
"""Every so many cells across and down make the equations: the fall-off is smooth."""


@dataclass(frozen=True, slots=True, eq=False)
class LensFallOff:
    """What the lens leaves of the light over the frame, ``ln`` of it as a polynomial."""

    coefficients: Real
    frame_px: tuple[int, int]
    singular: Real
    """Singular values of the equations, relative to the largest, descending."""
    rms: float
    """Relative standard deviation of what is left over in one cell."""
    u_slow: float
    """Relative standard uncertainty of the fall-off across the panel, as a gradient or a bowl, whichever is more."""

    def at(self, camera: Real) -> Real:
        """Return the light at places of the frame ``(n, 2)``, 1.0 as in its middle."""
        return np.asarray(np.exp(_terms(camera, self.frame_px) @ self.coefficients))


def pose_faults(views: Sequence[PanelView]) -> tuple[str, ...]:
    """Say what the poses lack for parting lens and panel; the first view is the place that is kept.

    A turn alone leaves every even part of the fall-off open, cos^4 included; shifts alone its linear part.
    """
    first = views[0]
    places = [np.array(v.to_camera(np.array(v.panel_px) / 2)) / v.frame_px for v in views]
    turns = [_turn_deg(v) - _turn_deg(first) for v in views]
    turned = any(abs((turn % 360) - 180) < TURNED_DEG for turn in turns)
    shifts = [p - places[0] for p in places[1:] if np.abs(p - places[0]).max() >= LEAST_SHIFT]
    aside = any(_are_aside(a, b) for n, a in enumerate(shifts) for b in shifts[n + 1 :])
    faults = []
    if not aside:
        faults.append(
            "two poses shifted in different directions by unequal amounts of"
            f" {percent(LEAST_SHIFT)} of the frame or more"
        )
    if not turned:
        faults.append("one pose turned by 180 degrees")
    return tuple(faults)


def _are_aside(one: Real, other: Real) -> bool:
    long, short = sorted((float(np.linalg.norm(one)), float(np.linalg.norm(other))), reverse=True)
    cosine = abs(float(one @ other)) / (long * short)
    return cosine < math.cos(math.radians(LEAST_ASIDE_DEG)) and long / short >= LEAST_UNLIKE


def _turn_deg(view: PanelView) -> float:
    along = view.jacobian()[:, 0]
    return math.degrees(math.atan2(along[1], along[0]))


def parted(
    light: Sequence[Real], views: Sequence[PanelView], middles: Real, noise: Sequence[Real]
) -> LensFallOff:  # fmt: skip
    """Part lens and panel: ln I_k = g_k + s(X) + l(T_k X), s free in every cell, l a polynomial, g_k free.

    What is the same in all poses, s, falls out of each pose less the mean of all, cell by cell; so the panel may have
    edges, and only the lens has to be smooth. The mean of l is no more known than the exposure: l is 0 in the middle.

    Args:
        light: mean light of each cell in each pose, NaN where it is not usable.
        views: where the panel lies in each.
        middles: the cells' middles on the panel, ``(cells, 2)``.
        noise: relative standard uncertainty of each cell in each pose.

    Source: three equations of W. R. Kuhn, H. Lin and D. Loranz, Publ. Astron. Soc. Pacific 103 (1991) 1097 (gain maps
    from displaced images; from memory), with the turn by 180 degrees added.
    """
    logs = np.log(np.where(np.stack(light) > 0, np.stack(light), np.nan))
    usable = np.isfinite(logs).all(axis=0)
    logs, places = logs[:, usable], middles[usable]
    terms = np.stack([_terms(view.to_camera(places), view.frame_px) for view in views])
    weight = 1 / np.stack([one[usable] for one in noise]).mean(axis=0)
    # The gains: one column for each pose, less the mean of all as everything else.
    ones = np.zeros((len(views), places.shape[0], len(views)))
    for n in range(len(views)):
        ones[n, :, n] = 1
    design = np.concatenate([terms, ones[..., :-1]], axis=-1)
    # Each term as large as it is in the frame: one that no difference of poses shows must stay small.
    scale = np.linalg.norm((design * weight[:, None]).reshape(-1, design.shape[-1]), axis=0)
    design = ((design - design.mean(axis=0)) * weight[:, None]).reshape(-1, design.shape[-1])
    wanted = ((logs - logs.mean(axis=0)) * weight).ravel()
    left, singular, right = np.linalg.svd(design / scale, full_matrices=False)
    kept = singular > SMALLEST_SINGULAR * singular[0]
    inverse = (right[kept].T / singular[kept]) @ left[:, kept].T
    solved = inverse @ wanted / scale
    residual = wanted - design @ solved
    count = terms.shape[-1]
    # What is left over goes together over wide parts of the panel, so it is not divided by the number of cells alone.
    excess = float(np.sqrt((residual**2).sum() / max(1, len(wanted) - kept.sum() - places.shape[0])))
    known = (design / max(1.0, excess)).T @ (design / max(1.0, excess))
    prior = np.where(np.arange(design.shape[-1]) < count, LENS_TERM, GAIN_U) ** -2.0
    slow = _across(np.linalg.inv(known + np.diag(prior))[:count, :count], views[0])
    rms = float(np.sqrt(np.mean((residual / np.tile(weight, len(views))) ** 2)))
    return LensFallOff(solved[:count], views[0].frame_px, singular / singular[0], rms, slow)


def _across(spread: Real, view: PanelView) -> float:
    """Return what a fall-off with this covariance leaves open across the panel: the most of the slow shapes.

    They are those a zone's contrast takes out of its surround, so that one far from what it is compared with gets all
    of it, and one beside it next to nothing.
    """
    shapes = slow_shapes(_GRID)
    rows, columns = _GRID
    x, y = (np.arange(columns) + 0.5) / columns, (np.arange(rows) + 0.5) / rows
    there = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2) * view.panel_px
    fitted = np.stack([np.ones(len(there)), *(shape.ravel() for shape in shapes)], axis=1)
    of_shapes = (np.linalg.pinv(fitted) @ _terms(view.to_camera(there), view.frame_px))[1:]
    return math.sqrt(max(0.0, float(np.diag(of_shapes @ spread @ of_shapes.T).max())))


def _terms(camera: Real, frame_px: tuple[int, int]) -> Real:
    """Return the polynomials up to the degree at places of the frame, without the constant, 0 in its middle."""
    half = np.array(frame_px) / 2
    x, y = ((np.asarray(camera) - half) / half.max()).T
    chebyshev = np.polynomial.chebyshev.chebvander2d(x, y, (DEGREE, DEGREE))
    middle = np.polynomial.chebyshev.chebvander2d(np.zeros(1), np.zeros(1), (DEGREE, DEGREE))
    powers = [(a, b) for a in range(DEGREE + 1) for b in range(DEGREE + 1 - a) if a + b > 0]
    columns = [a * (DEGREE + 1) + b for a, b in powers]
    return np.asarray(chebyshev[:, columns] - middle[:, columns])
