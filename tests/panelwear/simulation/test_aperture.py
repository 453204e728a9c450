"""Weights of the pixels under a probe's aperture."""

from __future__ import annotations

import math

import numpy as np
import pytest

from panelwear.simulation.aperture import disc_points, seen_pixels


def filled_fraction(strip: float, aperture: float) -> float:
    """Share of a disc covered by a centred strip: a circle segment's area (plane geometry)."""
    k = strip / aperture
    return 2 / math.pi * (math.asin(k) + k * math.sqrt(1 - k * k))


# Worked numbers of the same formula: 5 mm in 10 mm is 0.609, 2 mm in 10 mm is 0.253.
@pytest.mark.parametrize(("strip_mm", "expected"), [(5.0, 0.609), (2.0, 0.253)])
@pytest.mark.parametrize("centre", [(640.0, 360.0), (640.37, 360.81)])
def test_a_narrow_strip_fills_the_published_share_of_the_aperture(
    strip_mm: float, expected: float, centre: tuple[float, float]
) -> None:
    pixels_per_mm = 4.0
    seen = seen_pixels(centre, (10 * pixels_per_mm,) * 2, 1280, 720)
    top, bottom = centre[1] - strip_mm / 2 * pixels_per_mm, centre[1] + strip_mm / 2 * pixels_per_mm
    lit = np.clip(np.minimum(seen.rows + 1, bottom) - np.maximum(seen.rows, top), 0, 1)
    assert filled_fraction(strip_mm, 10.0) == pytest.approx(expected, abs=5e-4)
    # Edges inside a pixel count by their share: a quarter per cent is left of that on 40 pixels.
    assert float(seen.weights @ lit) == pytest.approx(expected, abs=2.5e-3)


@pytest.mark.parametrize("diameter", [0.5, 1.0, 3.3, 21.4, 64.0])
@pytest.mark.parametrize("centre", [(100.0, 50.0), (100.5, 50.5), (99.21, 48.77)])
def test_weights_add_up_to_one_on_the_screen(diameter: float, centre: tuple[float, float]) -> None:
    seen = seen_pixels(centre, (diameter, diameter), 200, 100)
    assert seen.weights.sum() == pytest.approx(1.0, abs=1e-12)


def test_half_the_aperture_over_the_edge_sees_half() -> None:
    seen = seen_pixels((0.0, 50.0), (30.0, 30.0), 200, 100)
    assert seen.weights.sum() == pytest.approx(0.5, abs=1e-3)
    assert seen.columns.min() == 0


def test_an_aperture_beside_the_screen_sees_nothing() -> None:
    assert len(seen_pixels((-50.0, 50.0), (30.0, 30.0), 200, 100).weights) == 0


def test_pixels_that_are_not_square_make_an_ellipse() -> None:
    seen = seen_pixels((100.0, 50.0), (40.0, 20.0), 200, 100)
    assert np.ptp(seen.columns) + 1 == 40
    assert np.ptp(seen.rows) + 1 == 20
    assert seen.weights.max() == pytest.approx(1 / (math.pi * 20 * 10), rel=1e-3)


def test_the_middle_of_what_is_seen_is_where_the_probe_sits() -> None:
    seen = seen_pixels((101.3, 47.9), (21.4, 21.4), 200, 100)
    middle = (seen.weights @ (seen.columns + 0.5), seen.weights @ (seen.rows + 0.5))
    assert middle == pytest.approx((101.3, 47.9), abs=0.01)


def test_disc_points_cover_the_disc_evenly() -> None:
    points = disc_points(397)
    radius = np.hypot(*points.T)
    assert radius.max() <= 1.0
    assert points.mean(axis=0) == pytest.approx([0, 0], abs=5e-3)
    assert (radius**2).mean() == pytest.approx(0.5, abs=2e-3)  # of a uniform disc
