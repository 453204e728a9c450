"""The light of every pixel of a simulated panel, by channel: wear, unevenness and limiter included."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.simulation.panel import PanelState
from patterns.frame import Picture, Rect

Light = NDArray[np.float32]

_FINEST = (960, 540)
"""Wear and broad unevenness are worked out at so many places at most and interpolated between them: zone edges are
smeared over 0.3 % of the width."""


@dataclass(frozen=True, slots=True)
class PutIn:
    """A change of light put in by hand, to be found again; at every level alike."""

    rect: Rect
    """In panel pixels."""
    change: float
    """-0.01: one per cent darker."""
    channels: tuple[int, ...] = (0, 1, 2, 3)
    """Sub-pixels: 0 red, 1 green, 2 blue, 3 white."""


class PanelSurface:
    """A panel at one age with a given number of pixels; works out its wear once, then lights any picture."""

    def __init__(self, state: PanelState, size_px: tuple[int, int], put_in: Sequence[PutIn] = ()) -> None:
        self.state = state
        self.size_px = size_px
        self.put_in = tuple(put_in)
        channels = 4 if state.model.white_share > 0 else 3
        self._gain, self._backplane = _maps(state, size_px, channels)
        for one in self.put_in:
            rows, columns = slice(one.rect.y, one.rect.bottom), slice(one.rect.x, one.rect.right)
            for channel in set(one.channels) & set(range(channels)):
                self._gain[channel, rows, columns] *= np.float32(1 + one.change)

    def light(self, picture: Picture) -> Light:
        """Return the luminance of each pixel by sub-pixel, ``(4 or 3, height, width)`` in cd/m², black not included.

        The channels are red, green, blue and, where the panel has one, white. A picture's load sets the limiter.
        """
        emission = self.state.panel.emission
        curves = emission.curves.astype(np.float32)
        drive = np.stack([curves[channel][picture[..., channel]] for channel in range(3)])
        if len(self._gain) == 4:
            grey = drive.min(axis=0)
            drive = np.concatenate([drive - np.float32(emission.white_share) * grey, grey[None]])
        limiter = float(self.state.model.limiter.gain(self.state.load(picture)))
        for channel in range(len(drive)):
            wanted = drive[channel]
            wanted += self._backplane[channel] * np.sqrt(np.maximum(wanted, 0))
            np.maximum(wanted, 0, out=wanted)
            wanted *= self._gain[channel]
            wanted *= np.float32(emission.rows[channel, 1] * limiter)
        return drive


def _maps(state: PanelState, size_px: tuple[int, int], channels: int) -> tuple[Light, Light]:
    width, height = size_px
    columns, rows = min(width, _FINEST[0]), min(height, _FINEST[1])
    x, y = np.meshgrid((np.arange(columns) + 0.5) / columns, (np.arange(rows) + 0.5) / rows)
    spot = state.spot(x.ravel(), y.ravel())
    gain, backplane = (
        np.stack([_enlarged(one[:, c].reshape(rows, columns), size_px) for c in range(channels)])
        for one in (spot.gain, spot.backplane)
    )
    across, down = np.arange(min(width, 128)), np.arange(min(height, 128))
    grain = state.model.uniformity.grain_at(*np.meshgrid(across, down)).astype(np.float32)
    four = np.concatenate([grain, grain.mean(axis=2, keepdims=True)], axis=2)
    for channel in range(channels):
        tiles = np.tile(four[..., channel], (-(-height // len(down)), -(-width // len(across))))
        gain[channel] *= tiles[:height, :width]
    return gain, backplane


def _enlarged(coarse: NDArray[np.float64], size_px: tuple[int, int]) -> Light:
    """Interpolate linearly between the middles of coarse cells."""
    small = coarse.astype(np.float32)
    for axis, wanted in ((1, size_px[0]), (0, size_px[1])):
        there = small.shape[axis]
        if there == wanted:
            continue
        at = np.clip((np.arange(wanted) + 0.5) * there / wanted - 0.5, 0, there - 1)
        low = np.minimum(at.astype(np.intp), there - 2)
        share = (at - low).astype(np.float32)
        if axis == 0:
            share = share[:, None]
        small = np.take(small, low, axis) * (1 - share) + np.take(small, low + 1, axis) * share
    return small
