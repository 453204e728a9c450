"""Which of three ways takes the lens's own fall-off out, and what it leaves open."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.field_map import Shading, cell_edges
from panelwear.camera.photographs.cells import cells_seen
from panelwear.camera.photographs.poses import THINNED, LensFallOff, parted, pose_faults
from panelwear.camera.photographs.setup import Files, SetUp, view_of
from panelwear.camera.photographs.stack import Stack, stacked
from panelwear.camera.photographs.view import PanelView
from panelwear.camera.shots import Shot
from panelwear.errors import UsageError
from panelwear.telling.words import enumerated

Real = NDArray[np.float64]
EVEN_SURFACE_U = 0.003
"""An evenly lit surface is even to so much from one side of the panel to the other (common practice, no source)."""
SAME_SET_UP_U = 0.002
"""A camera that was put back between its marks has its fall-off again to so much (common practice, no source)."""
POSES_U = 0.002
"""What a panel sends aslant goes with the camera's place, so that it is not quite the same in all poses."""


@dataclass(frozen=True, slots=True, eq=False)
class Chosen:
    """The way that was chosen."""

    shading: Shading
    said: str
    u_slow: float
    fall_off: Real | None = None
    """``(planes, cells)`` of the pose that is kept."""
    singular: tuple[float, ...] = ()
    rms: float | None = None


def chosen(found: SetUp, wanted: Shading | None) -> Chosen:
    """Choose how the lens's fall-off is taken out: an even surface before poses, poses before the same set-up.

    Raises:
        UsageError: what a person asked for is not in the photographs.
    """
    if wanted == "even-surface" and found.flat is None:
        raise UsageError("--shading even-surface: there is no photograph of an even surface in this shoot")
    if found.flat is not None and wanted in {None, "even-surface"}:
        return Chosen("even-surface", "the photograph of an even surface", EVEN_SURFACE_U)
    others = sorted({one.pose for one in found.files.shots if one.pose > 0 and found.files.of.get(one.name)})
    if wanted == "poses" or (wanted is None and others):
        return _by_poses(found, others, is_wish=wanted == "poses")
    said = "nothing: the maps hold the lens's own fall-off, and only their ratio to maps of the same set-up counts"
    return Chosen("same-set-up", said, SAME_SET_UP_U)


def _by_poses(found: SetUp, others: list[int], *, is_wish: bool) -> Chosen:
    base = _base(found.files, others)
    views: list[PanelView] = [found.view]
    if base is not None:
        views += [view_of(found.files, pose)[0] for pose in others]
    lacking = pose_faults(views) if base is not None else ("the same field in several poses",)
    if base is None or lacking:
        said = f"lens and panel cannot be parted by these poses: they lack {enumerated(lacking)}"
        if is_wish:
            raise UsageError(f"--shading poses: {said}")
        return Chosen("same-set-up", f"nothing; {said}", SAME_SET_UP_U)
    stacks = [stacked(found.files.opened(base.name), found.cells)]
    for pose, view in zip(others, views[1:], strict=True):
        # Cells of one other pose at a time: they are large.
        frames = found.files.opened(_posed(found.files, base, pose))
        stacks.append(stacked(frames, cells_seen(view, found.example)))
    return _parted(found, views, stacks)


def _base(files: Files, others: list[int]) -> Shot | None:
    """Return a field that was taken in the pose that is kept and in all others."""
    return next((one for one in files.fields() if all(_posed(files, one, pose) for pose in others)), None)


def _posed(files: Files, base: Shot, pose: int) -> str:
    return next((one.name for one in files.fields(pose) if one.codes == base.codes), "")


class _Blocks:
    """Squares of cells: the lens is smooth, and a mean of all of them tells it better than one in so many."""

    def __init__(self, shape: tuple[int, int], margin: int = 4) -> None:
        self.shape = shape
        self.margin = margin
        self.rows, self.columns = ((side - 2 * margin) // THINNED for side in shape)

    def mean(self, cells: Real) -> Real:
        """Return the mean of each square, ``(squares,)``; NaN where more than half of its cells are."""
        m, n = self.margin, THINNED
        inner = cells.reshape(self.shape)[m : m + self.rows * n, m : m + self.columns * n]
        cut = inner.reshape(self.rows, n, self.columns, n).swapaxes(1, 2).reshape(-1, n * n)
        known = np.isfinite(cut)
        count = known.sum(axis=1)
        total = np.where(known, cut, 0.0).sum(axis=1)
        return np.where(count > n * n / 2, total / np.maximum(count, 1), np.nan)


def _parted(found: SetUp, views: list[PanelView], stacks: list[Stack]) -> Chosen:
    rows, columns = found.cells.shape
    across, down = cell_edges(found.view.panel_px)
    middles = np.stack(np.meshgrid((across[1:] + across[:-1]) / 2, (down[1:] + down[:-1]) / 2), axis=-1).reshape(-1, 2)
    coarse = _Blocks((rows, columns))
    fall_off = np.ones((len(found.cells.planes), found.cells.count))
    fits: list[LensFallOff] = []
    for colour in {plane.colour for plane in found.cells.planes}:
        own = [n for n, plane in enumerate(found.cells.planes) if plane.colour == colour]
        light, noise = [], []
        for stack in stacks:
            burnt = (stack.saturated[own] > 0).any(axis=0)
            mean = np.where(burnt, np.nan, stack.mean[own].mean(axis=0))
            light.append(mean)
            spread = stack.within[own].mean(axis=0) / np.maximum(stack.counts[own].sum(axis=0), 1)
            noise.append(np.maximum(spread, 1e-12))
        # A cell that one pose lacks must count in none: the panel's own light has to be the same in all.
        there = np.where(np.isfinite(np.sum(light, axis=0)), 1.0, np.nan)
        light = [coarse.mean(one * there) for one in light]
        noise = [np.sqrt(coarse.mean(v * there)) / THINNED / np.maximum(m, 1e-9)
                 for v, m in zip(noise, light, strict=True)]  # fmt: skip
        fit = parted(light, views, np.stack([coarse.mean(side) for side in middles.T], axis=1), noise)
        fits.append(fit)
        fall_off[own] = fit.at(found.view.to_camera(middles))
    worst = max(fits, key=lambda fit: fit.u_slow)
    singular = tuple(round(float(value), 5) for value in worst.singular)
    said = (
        f"{len(views)} poses: lens and panel parted by least squares, smallest singular value"
        f" {singular[-1]:.2g} of the largest"
    )
    return Chosen("poses", said, float(np.hypot(worst.u_slow, POSES_U)), fall_off, singular, worst.rms)
