"""The fitter of the laws of ageing against certified values of nonlinear regression."""

import numpy as np
import pytest

from panelwear.ageing.fitting import derivatives, fit
from tests.references import value

MODELS = {
    "Misra1a": lambda b, x: b[0] * (1 - np.exp(-b[1] * x)),
    "BoxBOD": lambda b, x: b[0] * (1 - np.exp(-b[1] * x)),
    "MGH17": lambda b, x: b[0] + b[1] * np.exp(-x * b[3]) + b[2] * np.exp(-x * b[4]),
    "DanWood": lambda b, x: b[0] * x ** b[1],
}
SIX_DIGITS = 5e-7


# NIST Statistical Reference Datasets, nonlinear regression: data, both starts and certified values.
@pytest.mark.parametrize("start", [0, 1], ids=["far start", "near start"])
@pytest.mark.parametrize("name", MODELS)
def test_certified_parameters_and_their_standard_deviations_come_out_to_six_digits(name, start):
    record = value(f"STRD-{name}-b")
    x, y = (np.array(record["inputs"][axis], float) for axis in "xy")
    found = fit(lambda b: MODELS[name](b, x), record["inputs"]["starts"][start], y)
    assert found.ended
    assert found.values == pytest.approx(record["expected"], rel=SIX_DIGITS)
    assert found.u == pytest.approx(value(f"STRD-{name}-sd")["expected"], rel=SIX_DIGITS)
    assert found.chi2 == pytest.approx(value(f"STRD-{name}-RSS")["expected"], rel=SIX_DIGITS)
    assert np.sqrt(found.chi2 / found.spare) == pytest.approx(value(f"STRD-{name}-RSD")["expected"], rel=SIX_DIGITS)


def test_known_uncertainties_weigh_and_are_not_scaled_by_the_scatter():
    # A weighted mean by hand: 10 ± 1 and 16 ± 2 weigh 1 and 1/4: 11.2 ± 1 / sqrt(1.25).
    found = fit(lambda p: np.array([p[0], p[0]]), [0.0], np.array([10.0, 16.0]), np.diag([1.0, 4.0]))
    assert found.values[0] == pytest.approx(11.2)
    assert found.u[0] == pytest.approx(1 / np.sqrt(1.25))
    assert found.chi2 == pytest.approx(1.2**2 + 4.8**2 / 4)


def test_what_is_common_to_two_observations_does_not_average_out():
    # 1 ± 0.1 each, and 0.5 common to both: u^2 = 0.01 / 2 + 0.25.
    V = np.diag([0.01, 0.01]) + 0.25
    found = fit(lambda p: np.array([p[0], p[0]]), [0.0], np.array([1.0, 1.0]), V)
    assert found.u[0] == pytest.approx(np.sqrt(0.005 + 0.25))


def test_a_bound_is_kept():
    found = fit(lambda p: p * np.ones(3), [0.5], np.array([2.0, 2.0, 2.0]), np.eye(3), ([0.0], [1.0]))
    assert found.values[0] == pytest.approx(1.0)


def test_derivatives_are_right_to_ten_digits():
    found = derivatives(lambda p: np.array([p[0] ** 3, np.exp(p[1])]), np.array([2.0, 0.5]))
    assert found == pytest.approx(np.array([[12.0, 0.0], [0.0, np.exp(0.5)]]), rel=1e-9)
