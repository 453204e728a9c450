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


def test_pooling_weighs_spreads_by_their_degrees_of_freedom():
    s, dof = type_a.pooled([1.0, 2.0], [1, 3])
    assert (s, dof) == (pytest.approx(math.sqrt((1 + 12) / 4)), 4)
    assert math.isnan(type_a.pooled([], [])[0])


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
