"""Lens and panel are parted by poses that can part them, and by no others."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from panelwear.camera.photographs.poses import LENS_TERM, parted, pose_faults
from panelwear.camera.synthetic import MadeNoise, synthetic_map
from panelwear.camera.wear.contrast import contrast
from panelwear.camera.wear.pairing import as_it_stands
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
    """Over repeats the largest slow shape of the error is as u_slow says, within what 20 repeats can tell."""
    views, noise = ALL, 2e-3
    x, y = MIDDLES[:, 0] / 1280 - 0.5, (MIDDLES[:, 1] - 360) / 1280
    shapes = np.stack([np.ones_like(x), x, y, 4 * x * x, 4 * x * y, 4 * y * y], axis=1)
    found = [np.linalg.lstsq(shapes, error(views, noise, seed), rcond=None)[0][1:] for seed in range(20)]
    fit = parted(photographed(views, noise), views, MIDDLES, [np.full(len(MIDDLES), noise)] * 4)
    assert np.std(found, axis=0).max() / fit.u_slow == pytest.approx(1, abs=0.45)
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


def fitted(views):
    noise = 1e-3
    return parted(photographed(views, noise), views, MIDDLES, [np.full(len(MIDDLES), noise)] * len(views))


@pytest.mark.parametrize(
    ("views", "open_modes"),
    [((STAY, TURNED), 15), ((STAY, ALONG), 7), ((STAY, ALONG, DOWN), 2), (ALL, 0)],
)
def test_as_many_modes_stay_open_as_the_geometry_leaves(views, open_modes):
    """Polynomials of degree 6: a turn leaves every even one, one shift 7, two shifts the tilt, both none.

    Source: tests/references/camera.md, modes of lens and panel; computed.
    """
    fit = fitted([view_without_distortion(view) for view in views])
    assert int((fit.singular < 1e-6).sum()) == open_modes


def view_without_distortion(view):
    return replace(view, k1=0.0, k2=0.0)


def test_what_poses_leave_open_is_in_the_uncertainty_across_the_panel():
    """Two shifts leave the tilt open: it stays as large as it was before anything was photographed."""
    turn, shifts, whole = (
        fitted([view_without_distortion(view) for view in views])
        for views in ((STAY, TURNED), (STAY, ALONG, DOWN), ALL)
    )
    assert whole.u_slow < 0.003
    assert turn.u_slow > 0.02 and shifts.u_slow > 0.05
    # A tilt of one term over half the frame, seen over the panel's width.
    share = 1280 * 0.8 / (FRAME[0] / 2)
    assert shifts.u_slow == pytest.approx(LENS_TERM * share, rel=0.25)


def test_a_zone_far_from_its_reference_gets_what_the_lens_leaves_and_a_near_one_does_not():
    far, near = [], []
    for u_slow in (0.002, 0.02):
        one = replace(as_it_stands(synthetic_map((), MadeNoise(0.001), panel_px=(1280, 720))), u_slow=u_slow)
        inside, beside, away = (np.zeros(one.change.shape, bool) for _ in range(3))
        inside[100:140, 20:60], beside[100:140, 64:84], beside[100:140, 2:16] = True, True, True
        away[100:140, 400:440] = True
        near.append(contrast(one, inside, beside, ("near", "")).u)
        far.append(contrast(one, inside, away, ("far", "")).u)
    assert near[1] < 1.5 * near[0] and near[1] < 0.15
    assert far[1] > 5 * far[0] and far[1] > 1
