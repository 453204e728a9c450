"""Counts flashes in frames as they came, independently of the governor: every point has its own history of turns.

Sources: WCAG 2.3.1 (opposing changes of a tenth of the largest relative luminance or more, the darker state below
0.80; opposing changes to or from a saturated red, R / (R + G + B) of 0.8 or more, by more than 0.2 in u'v'), ITU-R
BT.1702 (20 cd/m² or more, the darker state below 160 cd/m²). A flash is a pair of opposing changes. Nothing is
averaged: whatever region flashes more often than it may is found however it is shaped, and so is one that is made up
of scattered points.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from patterns.frame import Picture

Real = NDArray[np.float32]
Bits = NDArray[np.bool_]
WINDOW_S = 1.0
LEAST_SHARE = 0.002
"""Share of the screen from which a region counts."""
TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]], dtype=np.float32)
"""From linear BT.709 to X, Y, Z (IEC 61966-2-1)."""
_LINEAR = ((np.arange(256) / 255.0) ** 2.2).astype(np.float32)


@dataclass(slots=True, eq=False)
class _Turns:
    """Where each point last turned, and in which direction it goes."""

    low: Real
    high: Real
    way: NDArray[np.int8]
    """0 before the first change, then +1 up, -1 down."""

    def take(self, now: Real, peak_cd_m2: float) -> Bits:
        """Take the next luminances in; returns where a change against the last extremum has just come."""
        fell = (self.way >= 0) & _counts(self.high, now, peak_cd_m2) & (now < self.high)
        rose = (self.way <= 0) & _counts(self.low, now, peak_cd_m2) & (now > self.low)
        self.way[fell], self.way[rose] = -1, 1
        # After a turn the other extremum begins anew.
        self.low = np.where(fell | rose, now, np.minimum(self.low, now))
        self.high = np.where(fell | rose, now, np.maximum(self.high, now))
        return fell | rose


def _counts(one: Real, other: Real, peak_cd_m2: float) -> Bits:
    step, darker = np.abs(one - other), np.minimum(one, other)
    general = (step >= 0.1 - 1e-6) & (darker < 0.8)
    harmful = (step * peak_cd_m2 >= 20.0 - 1e-4) & (darker * peak_cd_m2 < 160.0)
    return np.asarray(general | harmful)


@dataclass(slots=True, eq=False)
class _Reds:
    """Colour at the last change to or from a saturated red."""

    red: Bits
    uv: NDArray[np.float32]

    def take(self, red: Bits, uv: NDArray[np.float32]) -> Bits:
        """Take the next colours in; returns where saturated red has come or gone."""
        turned = (red != self.red) & (np.hypot(*(uv - self.uv).transpose(2, 0, 1)) > 0.2)
        self.red = np.where(turned, red, self.red)
        # What stays red, or stays without, is followed: the next change is judged against what was there last.
        self.uv = np.where((turned | (red == self.red))[..., None], uv, self.uv)
        return np.asarray(turned)


@dataclass(slots=True)
class FlashCounter:
    """Feed it frames with their times; ``worst`` is the largest number of flashes within a second it has met."""

    peak_cd_m2: float = 300.0
    least_share: float = LEAST_SHARE
    worst: float = 0.0
    """Flashes in the worst second of any region above ``least_share``; a half is one change without its opposite."""
    worst_at_s: float = 0.0
    frames: int = 0
    _luminance: _Turns | None = field(default=None, init=False)
    _red: _Reds | None = field(default=None, init=False)
    _last: Picture | None = field(default=None, init=False)
    _recent: deque[tuple[float, Bits, Bits]] = field(default_factory=deque, init=False)
    _sums: tuple[NDArray[np.int16], NDArray[np.int16]] | None = field(default=None, init=False)

    def take(self, picture: Picture, at_s: float) -> None:
        """Take one frame, ``(height, width, 3)`` uint8 drive levels (gamma 2.2 assumed), seen at ``at_s``."""
        self.frames += 1
        if self._last is not None and np.array_equal(picture, self._last):
            return
        self._last = picture.copy()
        linear = _LINEAR[picture]
        luminance = linear @ TO_XYZ[1]
        red, uv = _colour(linear)
        if self._luminance is None or self._red is None:
            self._luminance = _Turns(luminance.copy(), luminance.copy(), np.zeros(luminance.shape, dtype=np.int8))
            self._red = _Reds(red, uv)
            self._sums = (np.zeros(red.shape, dtype=np.int16), np.zeros(red.shape, dtype=np.int16))
            return
        self._note(at_s, self._luminance.take(luminance, self.peak_cd_m2), self._red.take(red, uv))

    def _note(self, at_s: float, light: Bits, red: Bits) -> None:
        if not (light.any() or red.any()) or self._sums is None:
            return
        while self._recent and self._recent[0][0] <= at_s - WINDOW_S:
            _, *gone = self._recent.popleft()
            for total, old in zip(self._sums, gone, strict=True):
                np.subtract(total, old, out=total)
        self._recent.append((at_s, light, red))
        for total, new in zip(self._sums, (light, red), strict=True):
            np.add(total, new, out=total)
            # The least number of changes met by the points that changed most often, as many as make up the region.
            points = max(1, int(np.ceil(self.least_share * total.size)))
            changes = int(np.partition(total, total.size - points, axis=None)[total.size - points])
            if changes / 2 > self.worst:
                self.worst, self.worst_at_s = changes / 2, at_s


def _colour(linear: NDArray[np.float32]) -> tuple[Bits, NDArray[np.float32]]:
    """Return where the colour is a saturated red, and u', v'; black, which has none, lies away from every colour."""
    total = linear.sum(axis=-1)
    red = (linear[..., 0] >= 0.8 * total) & (total > 0)
    x, y, z = np.moveaxis(linear @ TO_XYZ.T, -1, 0)
    under = x + 15 * y + 3 * z
    safe = np.where(under > 0, under, 1.0)
    uv = np.stack([4 * x / safe, 9 * y / safe], axis=-1)
    uv[under <= 0] = -1.0
    return np.asarray(red), uv.astype(np.float32)
