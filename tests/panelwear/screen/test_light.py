"""Sample points see what is there."""

from __future__ import annotations

import numpy as np
import pytest

import patterns
from panelwear.screen.light import light_of, sample_points
from patterns.frame import Fill, Frame, Rect


@pytest.mark.parametrize("size", [(1366, 768), (101, 37), (1, 1), (3840, 2160)])
def test_codes_from_rectangles_are_those_of_the_raster(size: tuple[int, int]) -> None:
    width, height = size
    generator = np.random.default_rng(4)
    fills = []
    for _ in range(40):
        x, y = (int(v) for v in generator.integers(-20, (width, height)))
        w, h = (int(v) for v in generator.integers(1, (width // 2 + 2, height // 2 + 2)))
        red, green, blue = (float(v) for v in generator.integers(0, 256, 3))
        fills.append(Fill(Rect(x, y, w, h), (red, green, blue)))
    frame = Frame("made", width, height, (7.0, 8.0, 9.0), Rect(0, 0, width, height), tuple(fills))
    points = sample_points(width, height, (598.0, 336.0), 600.0)
    assert np.array_equal(points.codes_of(frame), patterns.raster(frame)[points.y, points.x])


def test_points_are_spread_evenly_and_each_stands_for_as_much() -> None:
    points = sample_points(1920, 1080, (598.0, 336.0), 600.0)
    counts, _, _ = np.histogram2d(points.x, points.y, bins=(8, 4), range=((0, 1920), (0, 1080)))
    assert counts.max() <= 1.05 * counts.min()
    assert points.solid_angle_sr.max() < 4e-4 / 4


def test_white_is_one_and_black_is_no_red() -> None:
    light = light_of(np.array([[255, 255, 255], [0, 0, 0], [255, 0, 0]], np.uint8))
    assert light.luminance == pytest.approx([1.0, 0.0, 0.2126], abs=1e-6)
    assert light.red == pytest.approx([0.0, 0.0, 320.0])
    assert light.saturated.tolist() == [False, False, True]
