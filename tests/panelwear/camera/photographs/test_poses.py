"""Lens and panel are parted by poses that can part them, and by no others."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from panelwear.camera.photographs.poses import parted, pose_faults
from tests.panelwear.camera.photographs.frames import FRAME, seen_from

STAY = seen_from(scale=0.8, shift=(0, 0))
ALONG, DOWN = seen_from(scale=0.8, shift=(270, 0)), seen_from(scale=0.8, shift=(0, 210))
TURNED = seen_from(roll_deg=180, scale=0.8, shift=(0, 0))
ALL = (STAY, ALONG, DOWN, TURNED)
MIDDLES = np.stack(np.meshgrid(np.linspace(20, 1260, 50), np.linspace(20, 700, 30)), axis=-1).reshape(-1, 2)


def fall_off(camera: np.ndarray) -> np.ndarray:
    """cos^4 of a lens of 2400 camera pixels of focal length, and a tilt."""
    away = camera - np.array(FRAME) / 2
    return (1 + (away**2).sum(axis=-1) / 2400**2) ** -2 * (1 + 2e-5 * away[..., 0])


def photographed(views, noise=0.0, seed=1):
    """A panel with a slow gradient, a radial dip and a zone, through the lens, with an exposure of its own a pose."""
    x, y = MIDDLES[:, 0] / 640 - 1, MIDDLES[:, 1] / 360 - 1
    panel = 1 + 0.02 * x - 0.03 * (x**2 + y**2) - 0.01 * ((np.abs(x) < 0.3) & (np.abs(y) < 0.4))
    rng = np.random.default_rng(seed)
    return [
        panel * fall_off(view.to_camera(MIDDLES)) * gain * (1 + rng.normal(0, noise, len(panel)))
        for view, gain in zip(views, (1.0, 1.07, 0.96, 1.02), strict=False)
    ]


def error(views, noise=1e-3, seed=1) -> np.ndarray:
    """Return the error of the fall-off over the panel in the first pose, relative to its middle."""
    fit = parted(
        photographed(views, noise, seed), views, MIDDLES, [np.full(len(MIDDLES), max(noise, 1e-6))] * len(views)
    )
    quotient = fit.at(views[0].to_camera(MIDDLES)) / fall_off(views[0].to_camera(MIDDLES))
    return quotient / np.median(quotient) - 1


def test_two_shifts_and_a_turn_part_them():
    assert pose_faults(ALL) == ()
    assert np.abs(error(ALL, noise=0.0)).max() < 2e-4
    assert error(ALL).std() < 1e-3


def test_the_uncertainty_across_the_panel_is_honest():
    """Over repeats the error from side to side is as large as u_slow says, within what 20 repeats can tell."""
    views, noise = ALL, 2e-3
    sides = []
    for seed in range(20):
        each = error(views, noise, seed).reshape(30, 50)
        sides.append(each[15, 45] - each[15, 5])
    fit = parted(photographed(views, noise), views, MIDDLES, [np.full(len(MIDDLES), noise)] * 4)
    assert np.std(sides) / fit.u_slow == pytest.approx(1, abs=0.45)
    assert len(fit.singular) == 27 + 3 and (np.diff(fit.singular) <= 1e-12).all()


@pytest.mark.parametrize(
    ("views", "lacking"),
    [
        ((STAY, TURNED), "two poses shifted"),
        ((STAY, ALONG, DOWN), "turned by 180"),
        ((STAY, ALONG, TURNED), "two poses shifted"),
        ((STAY, ALONG, seen_from(scale=0.8, shift=(-270, 0)), TURNED), "two poses shifted"),
        ((STAY, seen_from(scale=0.8, shift=(40, 0)), seen_from(scale=0.8, shift=(0, 40)), TURNED), "two poses shifted"),
    ],
)
def test_other_poses_are_said_to_lack_something(views, lacking):
    assert lacking in " ".join(pose_faults(views))


@pytest.mark.parametrize(
    ("views", "open_modes"),
    [
        ((STAY,), 27),
        ((STAY, TURNED), 15),  # every even mode, cos^4 among them
        ((STAY, TURNED, ALONG), 3),
        (ALL, 0),
    ],
)
def test_which_waves_of_the_lens_stay_open(views, open_modes):
    """Source: tests/references/camera.md, shading against scene, polynomials of degree 6; computed.

    There the scene is a polynomial too; here it is free in every cell, which opens no wave more, and no fewer.
    """
    views = [replace(view, k1=0.0, k2=0.0) for view in views]  # which would part what shifts leave open
    noise = [np.full(len(MIDDLES), 1e-3)] * len(views)
    singular = parted(photographed(views, 1e-9), views, MIDDLES, noise).singular if len(views) > 1 else np.zeros(27)
    found = int((singular < 1e-9).sum())
    assert found == open_modes
