"""Formulas of the trade against worked numbers."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwear.colorimetry import contrast, uniformity
from tests.references import value


def close(found, identifier):
    record = value(identifier)
    return found == pytest.approx(record["expected"], abs=max(record["tolerance"], 1e-12))


def points(identifier):
    return value(identifier)["inputs"]["L"]


def test_contrasts_meet_their_worked_numbers():
    i = value("CON-01")["inputs"]
    assert close(contrast.sequential(i["Lw"], i["Lk"]), "CON-01")
    i = value("CON-02")["inputs"]
    assert close(contrast.sequential(i["Lw"], i["Lk"], i["La"]), "CON-02")
    i = value("CON-03")["inputs"]
    assert close(contrast.checkerboard(i["white"], i["black"]), "CON-03")


def test_additivity_meets_its_worked_number():
    i = value("ADD-02")["inputs"]
    assert close(100 * contrast.additivity(i["Lw"], i["LR"], i["LG"], i["LB"]), "ADD-02")


def test_gamma_is_the_slope_of_a_power_law_above_black():
    i = value("GAM-01")["inputs"]
    assert close(contrast.gamma(i["V"], i["L"], i["Lk"]), "GAM-01")


def test_uniformity_figures_meet_their_worked_numbers():
    assert close(100 * uniformity.min_over_max(points("UNI-01")), "UNI-01")
    assert close(100 * (1 - uniformity.min_over_max(points("UNI-02"))), "UNI-02")
    assert close(100 * uniformity.deviation_from_median(points("UNI-04")), "UNI-04")
    nine = points("UNI-05")
    assert close(100 * uniformity.deviation_from(nine, nine[4]), "UNI-05")
    assert close(uniformity.colour_spread(value("UNI-08")["inputs"]["u'v'"]), "UNI-08")


def test_noise_is_taken_out_of_the_spread_on_average():
    rng = np.random.default_rng(3)
    true = rng.normal(0, 0.02, (4000, 9))
    read = true + rng.normal(0, 0.01, true.shape)
    assert uniformity.variance_without_noise(read, 0.01**2).mean() == pytest.approx(0.02**2, rel=0.03)
    # Min over max does not get rid of it: an even panel looks uneven.
    assert uniformity.min_over_max(np.exp(rng.normal(0, 0.01, (4000, 9)))).mean() < 0.98


@given(st.lists(st.floats(1, 1e3), min_size=3, max_size=9), st.floats(0.1, 10))
def test_every_uniformity_figure_is_the_same_on_another_scale(values, scale):
    L = np.array(values)
    for figure in (uniformity.min_over_max, uniformity.deviation_from_median):
        assert figure(L * scale) == pytest.approx(figure(L), rel=1e-9, abs=1e-12)


@given(st.lists(st.floats(1, 1e3), min_size=2, max_size=5), st.lists(st.floats(1, 1e3), min_size=5, max_size=5))
def test_left_over_right_turns_its_sign_with_the_sides(left, right):
    right = right[: len(left)]
    assert uniformity.left_right(left, right) == pytest.approx(-uniformity.left_right(right, left), abs=1e-12)
