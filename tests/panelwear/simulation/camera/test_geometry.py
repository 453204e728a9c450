"""Where a panel lies in the frame: against Brown's radial terms, a plain pinhole and its own inverse."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from panelwear.simulation.camera.geometry import View, view_of
from panelwear.simulation.camera.model import FULL_CAMERA, CameraModel, Lens, Pose
from tests.panelwear.simulation.camera.small import PLAIN_LENS
from tests.references import value

AREA_MM = (600.0, 337.5)
PANEL = (3840, 2160)


def view(pose: Pose, camera: CameraModel = FULL_CAMERA) -> View:
    return view_of(camera, pose, PANEL, AREA_MM)


PLAIN = replace(FULL_CAMERA, lens=PLAIN_LENS)


def test_distortion_is_browns() -> None:
    record = value("RADIAL")
    put_in = record["inputs"]
    # A frame of 3000 x 4000 has half a diagonal of 2500 pixels (3, 4, 5).
    camera = replace(
        FULL_CAMERA,
        sensor=replace(FULL_CAMERA.sensor, size_px=(3000, 4000)),
        lens=Lens(k1=put_in["k1"], k2=put_in["k2"]),
    )
    seen = view(Pose(), camera)
    assert seen.half_diagonal == put_in["half_diagonal_px"]
    for ideal, expected in zip(put_in["ideal_px"], record["expected"], strict=True):
        for along in ((1.0, 0.0), (0.6, -0.8), (0.0, -1.0)):
            at = seen.middle + ideal * np.array(along)
            assert seen.distorted(at) == pytest.approx(
                seen.middle + expected * np.array(along), abs=record["tolerance"]
            )


def test_straight_in_front_the_panel_fills_its_share_and_lies_in_the_middle() -> None:
    seen = view(Pose(fill=0.8), PLAIN)
    corners = seen.to_frame([(0, 0), (3840, 0), (0, 2160), (1920, 1080)])
    assert corners == pytest.approx(np.array([(600, 650), (5400, 650), (600, 3350), (3000, 2000)]), abs=1e-6)
    moved = view(Pose(fill=0.8, shift=(0.1, -0.05)), PLAIN).to_frame([(1920, 1080)])
    assert moved == pytest.approx(np.array([(3600, 1800)]), abs=1e-6)


@pytest.mark.parametrize("angle", [("tilt_deg", 1), ("turn_deg", 0)])
def test_a_panel_seen_aslant_is_a_pinholes_picture(angle: tuple[str, int]) -> None:
    name, axis = angle
    seen = view(Pose(fill=0.5, **{name: 30.0}), PLAIN)
    focal_px = 50 / 0.006
    distance_mm = focal_px * 600 / 6000 / 0.5
    for share in (-0.5, 0.25, 0.5):
        off_mm = share * AREA_MM[1 - axis if axis == 0 else axis] if axis == 1 else share * AREA_MM[0]
        panel = np.array(PANEL) / 2
        panel[axis] += share * PANEL[axis]
        along, nearer = off_mm * math.cos(math.pi / 6), off_mm * math.sin(math.pi / 6)
        away = seen.to_frame(panel) - seen.middle
        depth = distance_mm + (nearer if axis == 1 else -nearer)
        assert away[axis] == pytest.approx(focal_px * along / depth, rel=1e-9)
        assert away[1 - axis] == pytest.approx(0.0, abs=1e-9)


def test_a_turn_about_the_axis_by_half_turns_the_frame_and_a_mirror_swaps_left_and_right() -> None:
    pose = Pose(shift=(0.03, 0.02), tilt_deg=4.0, turn_deg=-3.0)
    places = [(100.0, 80.0), (3000.0, 1900.0)]
    straight = view(pose).to_frame(places)
    assert view(replace(pose, roll_deg=180.0)).to_frame(places) == pytest.approx(np.array([6000, 4000]) - straight)
    mirrored = view(replace(pose, mirrored=True)).to_frame(places)
    assert mirrored == pytest.approx(np.column_stack([6000 - straight[:, 0], straight[:, 1]]))


@pytest.mark.parametrize(("k1", "k2"), [(0.0, 0.0), (-0.03, 0.004), (-0.12, 0.02), (0.06, -0.01)])
def test_places_come_back_over_the_whole_frame(k1: float, k2: float) -> None:
    seen = view(Pose(tilt_deg=6, turn_deg=5, roll_deg=3), replace(FULL_CAMERA, lens=Lens(k1=k1, k2=k2)))
    grid = np.stack(np.meshgrid(np.linspace(0, 6000, 41), np.linspace(0, 4000, 31)), axis=-1)
    assert np.abs(seen.distorted(seen.undistorted(grid)) - grid).max() < 1e-4
    assert np.abs(seen.to_frame(seen.to_panel(grid)) - grid).max() < 1e-4


def test_a_lens_that_folds_the_frame_is_refused() -> None:
    with pytest.raises(ValueError, match="fold the frame"):
        view(Pose(), replace(FULL_CAMERA, lens=Lens(k1=-0.4)))


def test_gradients_are_panel_pixels_for_a_camera_pixel() -> None:
    seen = view(Pose(fill=0.8), PLAIN)
    assert seen.gradients(3000, 2000) == pytest.approx(np.eye(2) * 3840 / 4800, abs=1e-9)
    turned = view(Pose(fill=0.8, roll_deg=90), PLAIN)
    assert turned.gradients(3000, 2000) == pytest.approx(np.array([[0, 0.8], [-0.8, 0]]), abs=1e-9)


def test_the_eye_stands_where_the_pose_says() -> None:
    seen = view(Pose(fill=0.5), PLAIN)
    distance_mm = (50 / 0.006) * 600 / 6000 / 0.5
    assert seen.eye_mm == pytest.approx([0.0, 0.0, distance_mm])
    corner = math.hypot(300.0, 337.5 / 2)
    assert seen.obliqueness(1920, 1080) == pytest.approx(1.0)
    assert seen.obliqueness(0, 0) == pytest.approx(math.cos(math.atan(corner / distance_mm)))
    aslant = view(Pose(fill=0.5, turn_deg=40.0), PLAIN)
    assert aslant.obliqueness(1920, 1080) == pytest.approx(math.cos(math.radians(40.0)))
    # Of two places the one seen straighter is nearer, and larger in the frame.
    left, right = aslant.obliqueness([960, 2880], [1080, 1080])
    at_left, at_right = (np.linalg.norm(aslant.gradients(*aslant.to_frame((x, 1080.0)))) for x in (960.0, 2880.0))
    assert (left > right) == (at_left < at_right)
