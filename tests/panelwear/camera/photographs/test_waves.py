"""Moire, refresh bands and a camera that moved: each of a known size is found with it, and none where there is none."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from panelwear.camera.photographs.bands import band_amplitude, banding, row_wave
from panelwear.camera.photographs.cells import cells_seen
from panelwear.camera.photographs.edges import edges_of
from panelwear.camera.photographs.judging import beside_others
from panelwear.camera.photographs.moire import strongest_moire
from panelwear.camera.photographs.photograph import Taken
from panelwear.camera.photographs.stack import stacked
from panelwear.camera.photographs.view import PanelView
from tests.panelwear.camera.photographs.frames import FRAME, PANEL, one_plane, seen_from

VIEW = seen_from(3.0, 1.0)
ROWS, COLUMNS = np.mgrid[: FRAME[1], : FRAME[0]]
LOOKS_AT = VIEW.to_panel(np.stack([COLUMNS + 0.5, ROWS + 0.5], axis=-1))


def lit(view: PanelView = VIEW) -> np.ndarray:
    """Return 1 on the panel, 0 beside it, with soft edges."""
    at = LOOKS_AT if view is VIEW else view.to_panel(np.stack([COLUMNS + 0.5, ROWS + 0.5], axis=-1))
    inside = np.minimum(np.minimum(at[..., 0], PANEL[0] - at[..., 0]), np.minimum(at[..., 1], PANEL[1] - at[..., 1]))
    return np.clip(inside / 2 + 0.5, 0, 1)


def noisy(light: np.ndarray, seed: int) -> np.ndarray:
    return 100 + 4000 * light + np.random.default_rng(seed).normal(0, 20, light.shape)


def moire_of(light: np.ndarray) -> float:
    photo = one_plane(noisy(light, 1))
    cells = cells_seen(VIEW, photo)
    return strongest_moire(VIEW, photo, cells, stacked([photo], cells, keep_pixels=True).pixels).amplitude


@pytest.mark.parametrize("order", [(1, 0), (0, 1)])
def test_a_wave_of_the_panels_grid_is_found_with_its_amplitude(order):
    turns = LOOKS_AT @ np.array(order, dtype=float)
    found = moire_of(lit() * (1 + 0.05 * np.cos(2 * np.pi * turns)))
    # A cell is 2.67 panel pixels; here 1.15 camera pixels show one, so that waves alias to a period of 7 of them.
    cells = np.array(PANEL) / (480, 270)
    jacobian = VIEW.jacobian()
    alias = np.array(order) @ np.linalg.inv(jacobian)
    left = abs(np.prod(np.sinc((alias - np.rint(alias)) @ (jacobian * cells))))
    assert found == pytest.approx(0.05 * left, rel=0.15)
    assert found > 0.01


def test_noise_and_edges_of_zones_are_no_moire():
    worn = lit()
    worn[400:700, 500:900] *= 0.97
    assert moire_of(worn) < 3e-4


def test_a_wave_that_is_not_of_the_grid_is_no_moire():
    """Rows of a list, 31 pixels each, are the panel's own and have to stay in its map."""
    assert moire_of(lit() * (1 + 0.02 * np.cos(2 * np.pi * LOOKS_AT[..., 1] / 31))) < 3e-4


@pytest.mark.parametrize(("period_px", "wanted_px"), [(2.05, 41), (1.98, 99), (1.03, 34), (2.7, 9)])
def test_the_frequency_a_grid_aliases_to(period_px, wanted_px):
    """Source: tests/references/camera.md, moire; computed. h/p less its nearest whole number, h from 1 to 3."""
    turns = np.arange(1, 4) / period_px
    periods = 1 / np.abs(turns - np.rint(turns))
    assert periods.max() == pytest.approx(wanted_px, rel=0.02) or np.isclose(periods, wanted_px, rtol=0.05).any()


def banded(amplitude: float, frames: int) -> list:
    photos = []
    for n in range(frames):
        band = 1 + amplitude * np.cos(2 * np.pi * (1.3 * ROWS / FRAME[1] + 0.37 * n))
        photos.append(one_plane(noisy(lit() * band, 10 + n)))
    return photos


def test_bands_are_found_with_their_amplitude():
    photos = banded(0.01, 4)
    found = band_amplitude(stacked(photos, cells_seen(VIEW, photos[0])))
    assert found is not None and found == pytest.approx(0.01, rel=0.4)
    photos = banded(0.0, 4)
    assert (band_amplitude(stacked(photos, cells_seen(VIEW, photos[0]))) or 1) < 3e-4
    assert band_amplitude(stacked(photos[:1], cells_seen(VIEW, photos[0]))) is None


def rows_of(light: np.ndarray, frames: int = 1, seed: int = 20) -> tuple:
    photos = [one_plane(noisy(light, seed + n)) for n in range(frames)]
    return stacked(photos, cells_seen(VIEW, photos[0])).rows


UNEVEN = 1 + 0.02 * np.sin(3 * ROWS / FRAME[1]) + 0.01 * (COLUMNS / FRAME[0]) ** 2


@pytest.mark.parametrize(("amplitude", "turns"), [(0.01, 1.3), (0.004, 2.5), (0.006, 7.0)])
def test_a_band_in_a_single_frame_shows_beside_another_field(amplitude, turns):
    """The panel's own unevenness, the same in both, is no band; a band is, whatever its period."""
    band = 1 + amplitude * np.cos(2 * np.pi * (turns * ROWS / FRAME[1] + 0.2))
    found = row_wave(rows_of(lit() * UNEVEN * band), rows_of(lit() * UNEVEN, seed=40))
    assert found is not None and found.amplitude == pytest.approx(amplitude, rel=0.35)
    seen = np.isfinite(rows_of(lit())[0]).sum() / FRAME[1]
    assert found.periods == pytest.approx(turns * seen, abs=0.5)
    clean = row_wave(rows_of(lit() * UNEVEN), rows_of(lit() * UNEVEN, seed=40))
    assert clean is not None and clean.amplitude < 4e-4


def test_a_quick_band_in_a_single_frame_shows_in_the_spectrum_of_its_rows():
    band = 1 + 0.005 * np.cos(2 * np.pi * 6 * ROWS / FRAME[1])
    found, clean = (row_wave(rows_of(lit() * UNEVEN * one)) for one in (band, 1.0))
    assert found is not None and clean is not None
    assert found.amplitude == pytest.approx(0.005, rel=0.25) and found.periods == pytest.approx(6 * 0.75, abs=1)
    assert clean.amplitude < 0.001  # told from a thousandth on


def test_a_field_beside_others_is_refused_marked_or_left_alone():
    def told(amplitude: float, exposure_s: float, *, alone: bool = False) -> tuple[str, str]:
        photo = one_plane(noisy(lit() * (1 + amplitude * np.cos(2 * np.pi * 3 * ROWS / FRAME[1])), 5))
        clean = one_plane(noisy(lit(), 6))
        cells = cells_seen(VIEW, photo)
        others = [] if alone else [("grey-120cd", stacked([clean], cells))]
        return beside_others("grey-20cd", stacked([photo], cells), Taken(exposure_s=exposure_s), others, 60.0)

    assert "refresh bands; expose for whole" in told(0.01, 2.5 / 60)[0]
    assert told(0.01, 0.5) == ("", told(0.01, 0.5)[1]) and "uneven otherwise" in told(0.01, 0.5)[1]
    assert told(0.0, 2.5 / 60) == ("", "")
    assert "periods over the panel" in told(0.01, 2.5 / 60, alone=True)[1]


@pytest.mark.parametrize(
    ("exposure_s", "refresh_hz", "wanted", "within"),
    [(5 / 60, 60, 0, 1e-9), (1 / 60, 59.94, 0.001, 1e-4), (1 / 50, 60, 0.156, 1e-3), (0.1, 143.86, 0.021, 1e-3)],
)
def test_what_an_exposure_can_show_of_flicker(exposure_s, refresh_hz, wanted, within):
    """Source: tests/references/camera.md, refresh bands; computed."""
    assert banding(exposure_s, refresh_hz) == pytest.approx(wanted, abs=within)


def edges(view_of_light: PanelView):
    photo = one_plane(noisy(lit(view_of_light), 3))
    cells = cells_seen(VIEW, photo)
    return edges_of(VIEW, photo, cells, stacked([photo], cells, keep_pixels=True).pixels)


def test_a_camera_that_stayed_has_its_edges_where_the_dots_put_them():
    found = edges(VIEW)
    assert found is not None and found.moved_px < 0.1
    assert found.blur_px == pytest.approx(1.6, abs=0.4)  # 80 % of a ramp of 2 panel pixels


@pytest.mark.parametrize("shift", [(3.0, 0.0), (0.0, -2.0), (-1.5, 1.5)])
def test_a_camera_that_moved_is_told_by_how_much(shift):
    away = np.array([[1, 0, shift[0]], [0, 1, shift[1]], [0, 0, 1]])
    found = edges(replace(VIEW, homography=VIEW.homography @ away))
    assert found is not None and found.moved_px == pytest.approx(np.hypot(*shift), rel=0.1)


def test_a_lit_room_has_no_edges():
    photo = one_plane(np.full((FRAME[1], FRAME[0]), 3000.0))
    cells = cells_seen(VIEW, photo)
    assert edges_of(VIEW, photo, cells, stacked([photo], cells, keep_pixels=True).pixels) is None
