"""Propagation against closed forms, against colour temperature's known sensitivities, and against Monte Carlo."""

import math

import numpy as np
import pytest

from panelwear.colorimetry.basic import XYZ_of_xyY
from panelwear.figures.formulas import chromaticity, temperature
from panelwear.uncertainty.causes import Source, causes_of, stack_of
from panelwear.uncertainty.chromaticity import tristimulus_per_xy
from panelwear.uncertainty.propagate import (
    COARSE_STEP,
    FINE_STEP,
    contributions,
    jacobian,
    simulate,
)
from tests.references import value

D65 = XYZ_of_xyY(0.3127, 0.3290, 100.0)


def test_sensitivities_of_u_prime_v_prime_meet_their_closed_form():
    record = value("UNC-JAC")
    _, slopes = jacobian(chromaticity, np.array(record["inputs"]["XYZ"], dtype=np.float64)[None])
    # What the standard writes in closed form, found by the differences every figure uses.
    assert slopes[2:4, 0] == pytest.approx(np.array(record["expected"]), abs=record["tolerance"])


@pytest.mark.parametrize("identifier", ["UNC-UV0", "UNC-UV1"])
def test_noise_of_tristimulus_values_reaches_u_prime_v_prime_as_it_should(identifier):
    record = value(identifier)
    relative, r = record["inputs"]["rel"], record["inputs"]["r"]
    correlation = np.full((3, 3), float(r)) + (1 - r) * np.eye(3)
    covariance = correlation * np.outer(D65 * relative, D65 * relative)
    slopes = jacobian(chromaticity, D65[None])[1][2:4, 0]
    u = np.sqrt(np.maximum(np.diag(slopes @ covariance @ slopes.T), 0))
    assert list(u) == pytest.approx(record["expected"], abs=record["tolerance"])


@pytest.mark.parametrize(
    ("dx", "dy", "expected_K"),
    # At D65 -54.2 K per 0.001 of x and -7.6 K per 0.001 of y: central differences on the exact nearest Planckian.
    [(0.001, 0.0, 54.2), (0.0, 0.001, 7.6)],
)
def test_colour_temperature_answers_x_and_y_as_known_at_d65(dx, dy, expected_K):
    shift = tristimulus_per_xy(D65) @ np.array([dx, dy])
    source = Source("xy", shift[None, :, None])
    _, slopes = jacobian(temperature, D65[None], COARSE_STEP)
    assert contributions(slopes, stack_of([source]))[0, 0] == pytest.approx(expected_K, rel=0.01)


def test_uncorrelated_doubt_of_x_and_y_makes_55_kelvin_and_fully_correlated_62():
    by_xy = tristimulus_per_xy(D65)[None] * 0.001
    _, slopes = jacobian(temperature, D65[None], COARSE_STEP)
    apart = contributions(slopes, stack_of([Source("xy", by_xy)]))[0, 0]
    together = contributions(slopes, stack_of([Source("xy", by_xy.sum(axis=-1, keepdims=True))]))[0, 0]
    assert apart == pytest.approx(54.8, rel=0.01)
    assert together == pytest.approx(61.8, rel=0.01)


def test_a_common_scale_cancels_in_a_ratio_and_stays_in_a_luminance():
    XYZ = np.stack([D65, 0.5 * D65])
    scale = Source("session scale", 0.01 * XYZ[:, :, None])
    _, slopes = jacobian(lambda p: np.stack([p[:, 0, 1], p[:, 0, 1] / p[:, 1, 1]], axis=1), XYZ)
    luminance, ratio = contributions(slopes, stack_of([scale]))[0]
    assert luminance == pytest.approx(1.0, rel=1e-6)
    assert ratio == pytest.approx(0.0, abs=1e-9)


def test_components_of_one_name_are_gathered_with_their_degrees_of_freedom():
    factor = np.ones((1, 3, 1))
    sources = [
        Source("repeatability", factor, 4, "A"),
        Source("repeatability", factor, 4, "A"),
        Source("drift", factor),
    ]
    found = causes_of(sources, (1, 1, 1)).components(np.array([3.0, 3.0, 1.0]))
    assert [c.name for c in found] == ["repeatability", "drift"]
    assert found[0].u == pytest.approx(math.sqrt(18))
    # Welch-Satterthwaite of two equal parts with four degrees each: eight.
    assert found[0].dof == pytest.approx(8)


@pytest.mark.parametrize(("function", "step"), [(chromaticity, FINE_STEP), (temperature, COARSE_STEP)])
def test_monte_carlo_agrees_within_3_percent_for_white_point_and_colour_temperature(function, step):
    # JCGM 101: the same sources, drawn instead of linearised.
    sources = [
        Source("repeatability", np.diag(D65 * 0.001)[None]),
        Source("session scale", 0.005 * D65[None, :, None]),
        Source("session chromaticity", 0.00025 * tristimulus_per_xy(D65)[None]),
    ]
    _, slopes = jacobian(function, D65[None], step)
    linear = np.sqrt((contributions(slopes, stack_of(sources)) ** 2).sum(axis=0))
    draws = simulate(function, D65[None], sources, draws=6000, seed=5)
    assert draws.std(axis=0, ddof=1) == pytest.approx(linear, rel=0.03)


def test_few_degrees_of_freedom_are_drawn_from_a_wider_distribution():
    source = Source("repeatability", 0.01 * D65[None, :, None], dof=5)
    draws = simulate(lambda p: p[:, 0, 1:2], D65[None], [source], draws=40000, seed=2)
    # Variance of a t distribution with 5 degrees of freedom: 5 / 3 (JCGM 101, 6.4.9.4).
    assert draws.std() == pytest.approx(math.sqrt(5 / 3), rel=0.03)
