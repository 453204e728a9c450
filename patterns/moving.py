"""Moving patterns: the dim pause and the mid-grey warm-up. Pure functions of time.

Both are one smooth wave that drifts sideways so slowly that no pixel changes by more than a few per cent of its light
in a second, with a whole number of waves on the screen, so the mean light stays the same at all times. Over one period
every pixel gives the same light: nothing is burned in, and nothing stands still that a panel would dim.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from patterns.fields import GAMMA, make_frame
from patterns.frame import Frame, Rect
from patterns.mix import SIDE, light_of, mix_map
from patterns.parameters import Parameter
from patterns.place import screen_rect
from patterns.registry import Ground, pattern

T_S = Parameter("t_s", "number", "time since the pattern began, in seconds", 0.0, low=0, high=1e7)
WAVES = Parameter("waves", "integer", "whole waves across the screen", 2, low=1, high=16)


@pattern(
    "pause",
    "a dim wave that drifts slowly: rests the panel and the eyes between bright patches",
    T_S,
    WAVES,
    Parameter("period_s", "number", "seconds in which the wave drifts by its own length", 40.0, low=10, high=3600),
    GAMMA,
    default_codes=(20.0, 20.0, 20.0),
)
def pause(ground: Ground, *, t_s: float, waves: int, period_s: float, gamma: float) -> Frame:
    """Show a dim wave; ``codes`` is the mean (code 20: about 0.4 % of peak light at gamma 2.2).

    Geometry: vertical bars; the light of column x is that of ``codes`` times
    ``1 + 0.9 * sin(2 pi (waves * (x + 0.5) / W - t_s / period_s))``. The mean light is that of ``codes``, at all times.
    ``t_s`` does not enter the geometry's digest. ``lit_share`` 1; ``background`` is not used.
    Source: rests between patches, design rule of the program; no source.
    """
    return _wave(ground, t_s, waves, period_s, (gamma, 0.9))


@pattern(
    "warm-up",
    "a grey wave of stated mean light that drifts slowly, while the panel gets warm",
    T_S,
    WAVES,
    Parameter("period_s", "number", "seconds in which the wave drifts by its own length", 40.0, low=10, high=3600),
    Parameter(
        "depth", "number", "how far the light goes above and below its mean, as a share of it", 0.3, low=0, high=1
    ),
    GAMMA,
    default_codes=(128.0, 128.0, 128.0),
)
def warm_up(ground: Ground, *, t_s: float, waves: int, period_s: float, depth: float, gamma: float) -> Frame:
    """Show a grey wave; ``codes`` is the mean: the code whose light is the sequence's mean light.

    Geometry: as ``pause`` with ``depth`` for 0.9. Where light would go above the peak the depth is less. The greatest
    change at a pixel is ``2 pi * depth / period_s`` of the mean a second: 4.7 % by default. ``lit_share`` 1.
    Source: warm-up on a moving or mid-grey picture, at least 20 minutes (FPDM 305-3 form, from memory).
    """
    return _wave(ground, t_s, waves, period_s, (gamma, depth))


def _wave(ground: Ground, t_s: float, waves: int, period_s: float, power_and_depth: tuple[float, float]) -> Frame:
    gamma, depth = power_and_depth
    turn = math.fmod(t_s, period_s) / period_s
    # More waves than half the pixels cannot be drawn, and one pixel cannot hold a wave: then all are at the mean.
    waves = min(waves, (ground.width - 1) // 2)
    phase = waves * (np.arange(ground.width) + 0.5) / ground.width - turn
    wave = np.sin(2 * np.pi * phase) if waves else np.zeros(ground.width)
    line = np.empty((ground.width, 3))
    for channel, code in enumerate(ground.codes):
        mean = light_of(code, gamma)
        room = min(depth, 1 / mean - 1) if mean > 0 else 0.0
        line[:, channel] = codes_of(mean * (1 + room * wave), gamma)
    band = mix_map(line[None, :, :], Rect(0, 0, ground.width, min(SIDE, ground.height)))
    pixels = np.empty((ground.height, ground.width, 3), dtype=np.uint8)
    for top in range(0, ground.height, SIDE):
        part = pixels[top : top + SIDE]
        part[...] = band[: part.shape[0]]
    shape: tuple[tuple[str, str | int | float], ...] = (("waves", waves), ("period_s", period_s), ("depth", depth))
    return make_frame(ground, screen_rect(ground), (), 1.0, shape, pixels=pixels)


def codes_of(light: NDArray[np.float64], gamma: float) -> NDArray[np.float64]:
    """Return ``code_of`` of many lights 0..1 at once."""
    table = (np.arange(256) / 255.0) ** gamma
    codes: NDArray[np.float64] = np.interp(light, table, np.arange(256.0))
    return codes
