"""The panel is found to a fraction of a pixel whichever way it is seen, and refused where it cannot be."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage

from panelwear.camera.photographs.dots import found_spots
from panelwear.camera.photographs.finding import fitted, panel_found
from panelwear.camera.photographs.view import PanelView
from panelwear.errors import UsageError
from patterns.camera import DOT_COLUMNS, dot_centres
from tests.panelwear.camera.photographs.frames import FRAME, PANEL, dots_seen, one_plane, seen_from

PITCH = (0.25, 0.25)
EVERYWHERE = np.stack(np.meshgrid(np.linspace(0, PANEL[0], 40), np.linspace(0, PANEL[1], 25)), axis=-1)


def off_px(found: PanelView, true: PanelView) -> float:
    """Return the error of the whole panel's registration in panel pixels, rms."""
    apart = found.to_panel(true.to_camera(EVERYWHERE)) - EVERYWHERE
    return float(np.sqrt((apart**2).sum(axis=-1).mean()))


def test_there_and_back_is_the_same_place():
    view = seen_from(8, 10)
    np.testing.assert_allclose(view.to_panel(view.to_camera(EVERYWHERE)), EVERYWHERE, atol=1e-5)


def test_distortion_is_browns():
    """Brown 1966: along a radius the distance r becomes r + k1 r^3 + k2 r^5."""
    view = PanelView((100, 100), (600, 800), np.eye(3), (300.0, 400.0), -0.1, 0.02)
    r = 0.4
    np.testing.assert_allclose(
        view.to_camera((300 + 0.4 * 500, 400)), (300 + 500 * (r - 0.1 * r**3 + 0.02 * r**5), 400)
    )


@pytest.mark.parametrize(
    ("tilt", "roll", "scale", "mirrored"),
    [(0, 0, 1.15, False), (10, 4, 1.1, False), (8, 180, 1.1, False), (4, 90, 0.85, False), (4, -35, 0.8, True)],
)
def test_every_way_up_is_found(tilt, roll, scale, mirrored):
    true = seen_from(tilt, roll, scale, mirrored=mirrored)
    found = panel_found(dots_seen(true), PANEL, PITCH)
    assert found.dots >= 165
    assert off_px(found, true) < 0.05
    assert found.mirrored is mirrored
    assert found.tilt_deg(PITCH) == pytest.approx(tilt, abs=0.7)


def test_a_lamp_in_the_picture_and_missing_dots_do_no_harm():
    true = seen_from(5, 2)
    photo = dots_seen(true, missing=(20, 21, 37, 90, 169))
    stored = photo.planes[0].stored.copy()
    stored[20:70, 900:1100] = 30000
    stored[600:602, 700:702] = 30000
    found = panel_found(one_plane(stored.astype(float)), PANEL, PITCH)
    assert found.dots >= 160
    assert off_px(found, true) < 0.06


@pytest.mark.parametrize(
    ("view", "missing", "said"),
    [
        (seen_from(shift=(190, 0), scale=1.2), (), "right corner lies outside"),
        (seen_from(shift=(-190, 0), scale=1.2), (), "left corner lies outside|two large ones"),
        (seen_from(28, scale=1.0), (), "degrees aslant"),
        (seen_from(), (0,), "two large ones"),
        (seen_from(), tuple(n for n in range(170) if n % DOT_COLUMNS > 9), "do not reach across"),
        (seen_from(), tuple(range(30, 170)), "of the 170 dots were found"),
    ],
)
def test_what_cannot_be_used_is_a_sentence(view, missing, said):
    with pytest.raises(UsageError, match=said):
        panel_found(dots_seen(view, missing), PANEL, PITCH)


def test_a_frame_without_dots_is_a_sentence():
    flat = np.random.default_rng(3).normal(3000, 30, (FRAME[1], FRAME[0]))
    with pytest.raises(UsageError, match="of the 170 dots were found"):
        panel_found(one_plane(flat), PANEL, PITCH)


def test_a_grid_that_does_not_fit_is_refused():
    true = seen_from()
    photo = dots_seen(true)
    bent = np.empty_like(photo.planes[0].stored)
    rows, columns = np.mgrid[: bent.shape[0], : bent.shape[1]].astype(float)
    away = 6 * np.sin(rows / 60)
    ndimage.map_coordinates(photo.planes[0].stored, [rows, columns + away], output=bent, order=1)
    with pytest.raises(UsageError, match=r"panel pixels \(rms\) from where they should"):
        panel_found(one_plane(bent.astype(float)), PANEL, PITCH)


def test_error_falls_with_dots_as_measured_by_independent_computation():
    """0.05 px of noise a dot, k1 -0.06, 170 dots over 4000 x 3000: 0.015 px of map error, about s sqrt(12 / n).

    Source: tests/references/camera.md, geometry; computed.
    """
    rng = np.random.default_rng(5)
    panel, frame = (3400, 2500), (4000, 3000)
    true = PanelView(panel, frame, np.array([[1.1, 0, 100], [0, 1.1, 90], [0, 0, 1]]), (2000.0, 1500.0), -0.06, 0.0)
    places = dot_centres(*panel)
    grid = np.stack(np.meshgrid(np.linspace(100, 3300, 30), np.linspace(100, 2400, 20)), axis=-1)
    errors = []
    for _ in range(12):
        seen = true.to_camera(places) + rng.normal(0, 0.05, places.shape)
        apart = fitted(places, seen, panel, frame).to_camera(grid) - true.to_camera(grid)
        errors.append((apart**2).sum(axis=-1).mean())
    assert np.sqrt(np.mean(errors)) == pytest.approx(0.015, rel=0.3)


def test_a_box_of_seven_sigma_does_not_draw_the_middle_aside():
    """A Gaussian of sigma 2 px cut off at 7 px is drawn aside by 0.097 px (tests/references/camera.md, geometry)."""
    rows, columns = np.mgrid[:400, :400] + 0.5
    places = np.array([(50.3 + 60 * i + 0.17 * j, 52.8 + 60 * j + 0.23 * i) for i in range(6) for j in range(6)])
    picture = sum(np.exp(-((columns - x) ** 2 + (rows - y) ** 2) / 8) for x, y in places).astype(np.float32)
    found = found_spots(picture).middles
    nearest = np.linalg.norm(found[:, None] - places[None], axis=2).min(axis=1)
    assert len(found) == 36
    assert nearest.max() < 0.01
