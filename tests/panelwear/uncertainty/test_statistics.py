"""Statistics, factors and decisions against JCGM 100, JCGM 106, ISO 5725 and ISO 14253-1."""

import math

import numpy as np
import pytest

from panelwear.uncertainty import decision, type_a, type_b
from panelwear.uncertainty.coverage import effective_dof, expanded, interval, t_factor
from panelwear.uncertainty.estimate import Component, Estimate, combine
from tests.references import value


def test_mean_and_spread_of_twenty_temperatures_meet_jcgm_100_4_4_3():
    record = value("GUM-4.4.3")
    found = type_a.repeated(record["inputs"]["t"])
    assert [found.mean, found.s, found.u] == pytest.approx(record["expected"], abs=record["tolerance"])
    assert found.dof == 19


def test_correlated_inputs_meet_jcgm_100_h_2():
    record = value("GUM-H2")
    i = record["inputs"]
    readings = np.column_stack([i["V"], i["I_A"], i["phi_rad"]])
    V, I, phi = readings.mean(axis=0)  # noqa: E741 - the example's letter
    C = type_a.covariance_of_mean(readings)
    R, X, Z = V / I * math.cos(phi), V / I * math.sin(phi), V / I
    J = np.array([[R / V, -R / I, -X], [X / V, -X / I, R], [Z / V, -Z / I, 0.0]])
    out = J @ C @ J.T
    u, r = np.sqrt(np.diag(out)), type_a.correlation_of(out)
    assert [R, X, Z, *u, r[0, 1], r[0, 2], r[1, 2]] == pytest.approx(record["expected"], abs=record["tolerance"])


def test_combined_uncertainty_and_degrees_of_freedom_meet_jcgm_100_h_1():
    record = value("GUM-H1-VEFF2")
    us, dofs = record["inputs"]["u_i"], record["inputs"]["nu_i"]
    parts = tuple(Component(f"part {k}", u, nu) for k, (u, nu) in enumerate(zip(us, dofs, strict=True)))
    found = combine("length", 0.0, "nm", parts)
    assert found.u == pytest.approx(value("GUM-H1-UC")["expected"], abs=0.001)
    assert found.dof == pytest.approx(record["expected"], abs=record["tolerance"])
    assert effective_dof(us, dofs) == pytest.approx(record["expected"], abs=record["tolerance"])


def test_rounding_the_combined_uncertainty_first_gives_the_larger_number_of_jcgm_100_h_1():
    record = value("GUM-H1-VEFF")
    i = record["inputs"]
    found = effective_dof(i["u_i"], i["nu_i"], i["uc"])
    assert found == pytest.approx(record["expected"], abs=record["tolerance"])


def test_expanded_uncertainty_at_99_percent_meets_jcgm_100_h_1():
    record = value("GUM-H1-U99")
    i = record["inputs"]
    assert t_factor(i["nu"], 0.99) * i["uc"] == pytest.approx(record["expected"], abs=record["tolerance"])


def test_t_factors_meet_table_g_2_of_jcgm_100():
    record = value("TTAB-95")
    found = [t_factor(nu) for nu in record["inputs"]["nu"]]
    assert found == pytest.approx(record["expected"], abs=record["tolerance"])
    # Table G.2, last line: 1.960 for infinitely many.
    assert t_factor(math.inf) == pytest.approx(1.960, abs=5e-4)


def test_rectangular_triangular_and_resolution_meet_jcgm_100():
    record = value("GUM-RECT")
    a = record["inputs"]["a"]
    assert [type_b.rectangular(a), type_b.triangular(a)] == pytest.approx(record["expected"], abs=record["tolerance"])
    record = value("GUM-RES")
    found = type_b.resolution(record["inputs"]["resolution"])
    assert found == pytest.approx(record["expected"], abs=record["tolerance"])


def test_conformance_probability_meets_jcgm_106():
    record = value("JCGM106-1")
    i = record["inputs"]
    found = decision.probability_below(i["TU"], i["y"], i["u"])
    assert found == pytest.approx(record["expected"], abs=record["tolerance"])


def test_guard_band_factor_meets_iso_14253_1():
    record = value("JCGM106-2")
    factor, probability = record["expected"]
    assert decision.guard_band(1.0, record["inputs"]["p"]) == pytest.approx(factor, abs=record["tolerance"])
    assert decision.probability_below(2.0, 0.0, 1.0) == pytest.approx(probability, abs=record["tolerance"])


def test_a_drop_near_its_limit_stays_undecided():
    record = value("JCGM106-3")
    i = record["inputs"]
    probability, accepted_up_to = record["expected"]
    assert decision.probability_below(i["limit"], i["y"], i["u"]) == pytest.approx(probability, abs=1e-5)
    assert i["limit"] - decision.guard_band(i["u"]) == pytest.approx(accepted_up_to, abs=1e-4)
    assert decision.against_upper_limit(i["y"], i["u"], i["limit"]) == "undecided"
    assert decision.against_upper_limit(4.0, i["u"], i["limit"]) == "within"
    assert decision.against_upper_limit(6.0, i["u"], i["limit"]) == "beyond"


def test_normalised_error_and_ratio_uncertainty_meet_their_formulas():
    record = value("EN-01")
    found = decision.normalised_error(record["inputs"]["D"], record["inputs"]["u"])
    assert found == pytest.approx(record["expected"], abs=record["tolerance"])
    record = value("RATIO-U")
    i = record["inputs"]
    assert decision.ratio_u(i["u_r1"], i["u_r0"], i["u_drift"]) == pytest.approx(record["expected"], abs=1e-9)


def test_repeatability_limit_meets_iso_5725_6():
    record = value("ISO5725-R")
    found = type_a.repeatability_limit(record["inputs"]["s_r"])
    assert found == pytest.approx(record["expected"][0], abs=record["tolerance"])


def test_two_stage_sampling_asks_for_31_readings_where_the_normal_factor_would_ask_for_16():
    # Stein 1945: t(4) = 2.776, (2.776 x 0.4 / 0.2)^2 = 30.8.
    assert type_a.stein_readings(0.4, 0.2) == 31
    assert type_a.stein_readings(0.01, 0.2) == 5


def test_pooling_weighs_spreads_by_their_degrees_of_freedom():
    s, dof = type_a.pooled([1.0, 2.0], [1, 3])
    assert (s, dof) == (pytest.approx(math.sqrt((1 + 12) / 4)), 4)
    assert math.isnan(type_a.pooled([], [])[0])


def test_neighbours_that_agree_are_worth_fewer_readings():
    # (1 - 0.5) / (1 + 0.5): a third.
    assert type_a.effective_readings(30, 0.5) == pytest.approx(10)
    assert type_a.effective_readings(30, 0.0) == 30


def test_intervals_of_bounds_have_one_open_end():
    assert interval(Estimate("black", 0.01, "cd/m²", 0.001, limit="<")) == (-math.inf, 0.01)
    assert interval(Estimate("contrast", 5000.0, "1", 100.0, limit=">")) == (5000.0, math.inf)
    low, high = interval(Estimate("peak", 100.0, "cd/m²", 1.0, dof=4))
    assert (low, high) == pytest.approx((100 - 2.7764, 100 + 2.7764), abs=1e-3)
    assert expanded(Estimate("peak", 100.0, "cd/m²", 0.0)) == 0.0


def test_a_colour_step_is_judged_as_a_vector():
    # χ² of two dimensions at 95 % is 5.991.
    C = np.diag([0.01**2, 0.01**2])
    just_under, just_over = math.sqrt(5.98) * 0.01, math.sqrt(6.0) * 0.01
    assert not decision.apart_in_two_dimensions((just_under, 0.0), C)
    assert decision.apart_in_two_dimensions((0.0, just_over), C)
    one_sided = np.diag([0.01**2, 0.0])
    assert not decision.apart_in_two_dimensions((just_under, 0.0), one_sided)
    assert decision.apart_in_two_dimensions((0.0, 0.001), one_sided)
    assert not decision.apart_in_two_dimensions((0.0, 0.0), np.zeros((2, 2)))
