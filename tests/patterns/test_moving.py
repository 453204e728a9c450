"""Pause and warm-up: their mean light stands still, and nothing flashes."""

from __future__ import annotations

import numpy as np
import pytest

from patterns import build, raster
from patterns.moving import codes_of
from tests.patterns.sizes import SIZES

LIGHT = (np.arange(256) / 255) ** 2.2
MEAN = {"pause": 20, "warm-up": 128}


@pytest.mark.parametrize("name", ["pause", "warm-up"])
@pytest.mark.parametrize(("width", "height"), [size for size in SIZES if size != (1, 1)])
def test_the_mean_light_is_that_of_the_stated_code_at_all_times(name: str, width: int, height: int) -> None:
    for t_s in (0.0, 3.7, 11.0, 39.9, 40.0, 1234.5):
        mean = LIGHT[raster(build(name, width, height, t_s=t_s))].mean()
        assert mean == pytest.approx(LIGHT[MEAN[name]], rel=2e-3)


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_every_pixel_of_the_warm_up_lies_within_a_code_of_its_wave(width: int, height: int) -> None:
    picture = raster(build("warm-up", width, height, t_s=7.0, waves=3)).astype(float)
    x = (np.arange(width) + 0.5) / width
    wave = np.sin(2 * np.pi * (3 * x - 7 / 40)) if width > 1 else np.zeros(1)
    wanted = 255 * ((128 / 255) ** 2.2 * (1 + 0.3 * wave)) ** (1 / 2.2)
    assert (np.abs(picture - wanted[None, :, None]) < 1.01).all()


@pytest.mark.parametrize(("name", "depth"), [("pause", 0.9), ("warm-up", 0.3)])
def test_nothing_changes_by_more_than_a_little_in_a_second(name: str, depth: float) -> None:
    mean = LIGHT[MEAN[name]]
    # The sine's steepest second: 2 pi depth / 40 s. Over 64 x 64 pixels the spatial mix is as fine as the wave.
    limit = 2 * np.pi * depth / 40 * 1.01
    for t_s in np.arange(0.0, 40.0, 2.7):
        now, later = (
            LIGHT[raster(build(name, 640, 64, t_s=t))].reshape(64, 10, 64, 3).mean(axis=(0, 2))
            for t in (float(t_s), float(t_s) + 1)
        )
        assert np.abs(later - now).max() < limit * mean


@pytest.mark.parametrize("name", ["pause", "warm-up"])
def test_it_moves_and_comes_back_after_a_period(name: str) -> None:
    first = raster(build(name, 640, 360, t_s=0.0))
    assert not np.array_equal(first, raster(build(name, 640, 360, t_s=1.0)))
    assert np.array_equal(first, raster(build(name, 640, 360, t_s=4000.0)))
    assert build(name, 640, 360, t_s=0.0).geometry_sha256() == build(name, 640, 360, t_s=1.0).geometry_sha256()


def test_over_a_period_every_pixel_gives_the_same_light() -> None:
    sums = sum(LIGHT[raster(build("warm-up", 320, 64, t_s=float(t)))].mean(axis=0) for t in range(40)) / 40
    assert np.abs(sums / LIGHT[128] - 1).max() < 2e-3


def test_a_bright_mean_moves_less_and_never_leaves_the_codes() -> None:
    picture = raster(build("warm-up", 640, 64, codes=(250, 255, 0), depth=1.0))
    assert picture[..., 0].min() > 240
    assert (picture[..., 1] == 255).all()
    assert (picture[..., 2] == 0).all()


def test_codes_of_lights_invert_the_power_law_at_whole_codes() -> None:
    assert codes_of(LIGHT, 2.2) == pytest.approx(np.arange(256.0))
