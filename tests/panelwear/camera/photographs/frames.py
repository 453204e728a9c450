"""Small synthetic frames with a geometry that is known."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.photograph import Photograph, Plane
from panelwear.camera.photographs.view import PanelView
from patterns.camera import dot_centres, dot_radii_px

PANEL, FRAME = (1280, 720), (1800, 1200)


def seen_from(
    tilt_deg: float = 0.0, roll_deg: float = 0.0, scale: float = 1.15, *, mirrored: bool = False,
    shift: tuple[float, float] = (20.0, -10.0), k1: float = -0.05,
) -> PanelView:  # fmt: skip
    """Return the view of a pinhole of 2400 camera pixels of focal length with a known distortion."""
    focal, tilt, roll = 2400.0, math.radians(tilt_deg), math.radians(roll_deg)
    turn = np.array([[math.cos(tilt), 0, math.sin(tilt)], [0, 1, 0], [-math.sin(tilt), 0, math.cos(tilt)]])
    rolled = np.array([[math.cos(roll), -math.sin(roll), 0], [math.sin(roll), math.cos(roll), 0], [0, 0, 1]]) @ turn
    if mirrored:
        rolled = np.diag([-1.0, 1.0, 1.0]) @ rolled
    place = np.column_stack([rolled[:, 0], rolled[:, 1], [*shift, focal / scale]])
    middle = np.array([[1, 0, -PANEL[0] / 2], [0, 1, -PANEL[1] / 2], [0, 0, 1]])
    lens = np.array([[focal, 0, FRAME[0] / 2], [0, focal, FRAME[1] / 2], [0, 0, 1]])
    homography = lens @ place @ middle
    return PanelView(PANEL, FRAME, homography / homography[2, 2], (FRAME[0] / 2, FRAME[1] / 2), k1, 0.008)


def dots_seen(view: PanelView, missing: tuple[int, ...] = (), seed: int = 1) -> Photograph:
    """Draw the dot grid as one plane of green, with blur of the pixels alone, fall-off of light, and noise."""
    across, down = FRAME
    picture, finer, reach = np.zeros((down, across)), 4, 12
    for number, (centre, radius) in enumerate(zip(dot_centres(*PANEL), dot_radii_px(*PANEL), strict=True)):
        column, row = (int(side) - reach for side in view.to_camera(centre))
        if number in missing or not (0 <= column < across - 2 * reach and 0 <= row < down - 2 * reach):
            continue
        steps = (np.arange(2 * reach * finer) + 0.5) / finer
        x, y = np.meshgrid(column + steps, row + steps)
        away = view.to_panel(np.stack([x, y], axis=-1)) - centre
        lit = (np.hypot(away[..., 0], away[..., 1]) < radius + 0.3).reshape(2 * reach, finer, 2 * reach, finer)
        picture[row : row + 2 * reach, column : column + 2 * reach] += lit.mean(axis=(1, 3))
    fall_off = 1 - 0.5 * (2 * (np.arange(across) / across - 0.5)) ** 2
    noisy = 2000 * picture * fall_off + np.random.default_rng(seed).normal(100, 10, picture.shape)
    return one_plane(noisy)


def one_plane(numbers: NDArray[np.float64], name: str = "dots.tif") -> Photograph:
    """Make a photograph of one plane."""
    stored = np.clip(np.round(numbers), 0, 65535).astype(np.uint16)
    return Photograph(
        name, "0" * 64, (stored.shape[1], stored.shape[0]), (Plane("green", 0, 0, 1, stored, 100.0, 6e4),)
    )
