"""The frames of one shot, averaged: light of each cell behind each filter, and what tells how noisy it is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.cells import Cells
from panelwear.camera.photographs.photograph import Photograph

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Stack:
    """What the frames of one shot hold, in numbers linear in light."""

    each: NDArray[np.float32]
    """Mean of each cell in each frame, ``(frames, planes, cells)``."""
    counts: NDArray[np.intp]
    """Pixels averaged, ``(planes, cells)``."""
    within: Real
    """Variance, between the pixels of a cell, of the frames' mean, ``(planes, cells)``."""
    saturated: Real
    """Share of a cell's pixels that were saturated in any frame, ``(planes, cells)``."""
    rows: tuple[Real, ...]
    """Of each frame, the mean of each of the sensor's rows in its brightest plane; NaN where none sees the panel."""
    pixels: tuple[NDArray[np.float32], ...]
    """The frames' mean of each plane's part; empty where it was not asked for."""

    @property
    def frames(self) -> int:
        """How many frames."""
        return int(self.each.shape[0])

    @property
    def gains(self) -> Real:
        """Light of each frame as a whole beside the mean of all, ``(frames,)``."""
        total = np.nanmean(self.each, axis=(1, 2), dtype=np.float64)
        mean = float(total.mean())
        return np.asarray(total / mean if mean > 0 else np.ones_like(total))

    @property
    def mean(self) -> Real:
        """Mean of each cell over the frames, ``(planes, cells)``."""
        return np.asarray(self.each.mean(axis=0, dtype=np.float64))

    def without_pixels(self) -> Stack:
        """Let the mean pixels go."""
        return replace(self, pixels=())


def stacked(photos: Iterable[Photograph], cells: Cells, *, keep_pixels: bool = False) -> Stack:
    """Average the frames of a shot; one frame and one plane at a time is held, beside the running sums.

    Args:
        photos: the frames, opened one after the other.
        cells: where they look.
        keep_pixels: whether the mean pixels are wanted too.
    """
    counts = np.stack([cells.counts(n) for n in range(len(cells.planes))])
    sums = [np.zeros(plane.shape(), dtype=np.float32) for plane in cells.planes]
    full = np.zeros(counts.shape)
    each: list[NDArray[np.float32]] = []
    rows: list[Real] = []
    brightest: int | None = None
    for photo in photos:
        means = np.empty(counts.shape, dtype=np.float32)
        profiles = []
        for n, (plane, part) in enumerate(zip(photo.planes, cells.planes, strict=True)):
            values = plane.light(part.rows, part.columns)
            means[n] = cells.mean(n, values, counts[n])
            sums[n] += values
            profiles.append(_row_means(values, part.index < cells.count))
            burnt = plane.saturated(part.rows, part.columns)
            if burnt.any():
                full[n] += np.bincount(part.index[burnt.ravel()], minlength=cells.count + 1)[:-1]
        each.append(means)
        if brightest is None:
            brightest = int(np.argmax([np.nanmean(one) for one in profiles]))
        rows.append(profiles[brightest])
    for total in sums:
        np.divide(total, np.float32(max(1, len(each))), out=total)
    within = np.stack([_within(cells, n, one, counts[n]) for n, one in enumerate(sums)])
    burnt_share = np.divide(full, counts, out=np.zeros_like(full), where=counts > 0)
    pixels = tuple(sums) if keep_pixels else ()
    return Stack(np.stack(each), counts, within, burnt_share, tuple(rows), pixels)


def _row_means(values: NDArray[np.float32], inside: NDArray[np.bool_]) -> Real:
    mask = inside.reshape(values.shape)
    seen = mask.sum(axis=1)
    total = np.where(mask, values, np.float32(0)).sum(axis=1, dtype=np.float64)
    enough = seen > 0.2 * seen.max(initial=1)
    return np.asarray(np.divide(total, seen, out=np.full(len(total), np.nan), where=enough))


def _within(cells: Cells, plane: int, mean: NDArray[np.float32], counts: NDArray[np.intp]) -> Real:
    """Return the variance of a cell's pixels about their own mean; about the whole part's, sums would lose digits."""
    first = cells.mean(plane, mean, counts)
    away = mean.ravel() - np.append(first, 0).astype(np.float32)[cells.planes[plane].index]
    second = cells.mean(plane, away * away, counts)
    return np.asarray(second * np.divide(counts, counts - 1, out=np.full(len(counts), np.nan), where=counts > 1))


def bad_pixels(cells: Cells, pixels: tuple[NDArray[np.float32], ...], straying: float) -> tuple[NDArray[np.bool_], ...]:
    """Tell which pixels of a mean frame stray from their cell: hot, dead, or under dust.

    Args:
        cells: where the frame looks.
        pixels: its planes' parts.
        straying: by how many standard deviations of a usual pixel about its cell.
    """
    found = []
    for n, (part, values) in enumerate(zip(cells.planes, pixels, strict=True)):
        first = cells.mean(n, values, cells.counts(n))
        away = values.ravel() - np.append(np.nan_to_num(first), 0).astype(np.float32)[part.index]
        away[part.index == cells.count] = 0
        level = np.maximum(np.append(np.nan_to_num(first), 0)[part.index], 1).astype(np.float32)
        # What a usual pixel strays by grows with light: a share of it, or noise of the dark, whichever is more.
        inside = part.index < cells.count
        share = _robust(away[inside] / np.sqrt(level[inside]))
        found.append((np.abs(away) > straying * share * np.sqrt(level) + straying).reshape(values.shape))
    return tuple(found)


def _robust(values: NDArray[np.float32]) -> float:
    step = max(1, len(values) // 200_000)
    some = values[::step]
    return 1.4826 * float(np.median(np.abs(some - np.median(some)))) if len(some) else 0.0
