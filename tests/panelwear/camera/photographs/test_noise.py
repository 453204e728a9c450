"""The camera's noise against EMVA Standard 1288's linear model, on a sensor whose numbers are known."""

from __future__ import annotations

import numpy as np
import pytest

from panelwear.camera.photographs.cells import Cells, PlaneCells
from panelwear.camera.photographs.noise import CameraNoise, excess, noise_of
from panelwear.camera.photographs.photograph import Photograph, Plane
from panelwear.camera.photographs.stack import bad_pixels, stacked

SIDE, CELL = 512, 8
GAIN, DARK_E, OFFSET = 0.25, 6.0, 64.0
MEANS_DN = {0: 64, 200: 114, 1000: 314, 5000: 1314, 15000: 3814, 40000: 10064}
VARIANCES_DN2 = {0: 2.333, 200: 14.83, 1000: 64.83, 5000: 314.8, 15000: 939.8, 40000: 2502}
"""By electrons: tests/references/camera.md, noise; computed."""


def cells() -> Cells:
    rows, columns = np.mgrid[:SIDE, :SIDE] // CELL
    across = SIDE // CELL
    part = PlaneCells("green", slice(0, SIDE), slice(0, SIDE), (rows * across + columns).ravel())
    return Cells((across, across), (part,))


def frame(electrons: float, rng: np.random.Generator, response: np.ndarray, gain: float = 1.0) -> Photograph:
    seen = rng.poisson(electrons * gain * response) + rng.normal(0, DARK_E, response.shape)
    stored = np.rint(OFFSET + GAIN * seen)
    plane = Plane("green", 0, 0, 1, np.clip(stored, 0, 65535).astype(np.uint16), OFFSET, 65000)
    return Photograph("x.dng", "", (SIDE, SIDE), (plane,))


@pytest.fixture(scope="module")
def stacks():
    rng = np.random.default_rng(7)
    response = rng.normal(1, 0.01, (SIDE, SIDE))
    return {e: stacked((frame(e, rng, response) for _ in range(4)), cells()) for e in MEANS_DN}


@pytest.mark.parametrize("electrons", list(MEANS_DN))
def test_means_and_variances_are_those_of_the_model(stacks, electrons):
    one = stacks[electrons]
    assert one.mean.mean() + OFFSET == pytest.approx(MEANS_DN[electrons], abs=0.1 + 1e-4 * electrons)
    per_pixel = one.each.var(axis=0, ddof=1, dtype=np.float64) * one.counts
    assert per_pixel.mean() == pytest.approx(VARIANCES_DN2[electrons], rel=0.06)


def test_gain_dark_noise_and_prnu_are_found(stacks):
    found = noise_of(list(stacks.values()))
    assert found.gain == pytest.approx(GAIN, rel=0.01)
    assert found.dark_electrons == pytest.approx(DARK_E, rel=0.04)
    assert found.prnu == pytest.approx(0.01, rel=0.05)
    assert found.from_frames


def test_light_that_goes_up_and_down_as_a_whole_is_no_noise():
    rng = np.random.default_rng(8)
    response = np.ones((SIDE, SIDE))
    steady = [stacked((frame(e, rng, response) for _ in range(4)), cells()) for e in (1000, 15000)]
    restless = [
        stacked((frame(e, rng, response, gain) for gain in (0.97, 1.0, 1.02, 1.01)), cells()) for e in (1000, 15000)
    ]
    assert noise_of(restless).gain == pytest.approx(noise_of(steady).gain, rel=0.03)


def test_one_frame_alone_takes_pixels_for_frames():
    rng = np.random.default_rng(9)
    response = rng.normal(1, 0.01, (SIDE, SIDE))
    found = noise_of([stacked([frame(e, rng, response)], cells()) for e in (200, 1000, 5000)])
    assert not found.from_frames
    assert found.gain > GAIN  # PRNU is in it: more than the truth, never less


def test_more_noise_than_the_cameras_is_noticed(stacks):
    right = noise_of(list(stacks.values()))
    assert excess(stacks[5000], right) == pytest.approx(1, abs=0.03)
    assert excess(stacks[5000], CameraNoise(right.gain / 4, right.dark / 4, 0.0)) == pytest.approx(2, abs=0.06)


def test_the_variance_of_a_mean_falls_with_pixels_and_frames(stacks):
    """A region of A pixels in M frames: u_rel = 1 / sqrt(n_e A M) of shot noise alone (EMVA 1288's model)."""
    one, noise = stacks[15000], noise_of(list(stacks.values()))
    u_rel = np.sqrt(noise.variance(one.mean) / one.counts / one.frames) / one.mean
    assert u_rel.mean() == pytest.approx(1 / np.sqrt(15000 * CELL**2 * 4), rel=0.02)


def test_hot_and_dead_pixels_are_found_and_no_others():
    rng = np.random.default_rng(10)
    pixels = rng.normal(3000, 30, (SIDE, SIDE)).astype(np.float32)
    pixels[100, 200], pixels[7, 7] = 0, 9000
    (found,) = bad_pixels(cells(), (pixels,), 8.0)
    assert [tuple(map(int, place)) for place in np.argwhere(found)] == [(7, 7), (100, 200)]
