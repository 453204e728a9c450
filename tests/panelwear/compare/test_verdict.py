"""Three words, and never "no change"."""

import itertools
import math

import numpy as np
import pytest
from scipy.stats import false_discovery_control, norm

from panelwear.compare.changes import VectorChange
from panelwear.compare.formatting import verdict
from panelwear.compare.verdict import bound_of, hochberg, holm, judge, p_of, p_of_vector, simes
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.formatting import up_to


def step(v, u, dof=math.inf, unit="%"):
    return Estimate("d", v, unit, u, dof)


# JCGM 100, table G.2: two-sided t factors at 95 % for 2, 4 and 9 degrees of freedom, and the normal one.
@pytest.mark.parametrize(("dof", "t"), [(2, 4.303), (4, 2.776), (9, 2.262), (math.inf, 1.960)])
def test_p_values_are_those_of_the_t_table(dof, t):
    assert p_of(step(-t, 1.0, dof)) == pytest.approx(0.05, abs=2e-4)


def test_holm_follows_the_worked_example():
    # Holm's procedure on p = .01 .04 .03 .005: adjusted .03 .06 .06 .02 (worked by hand from Holm 1979).
    ps = (0.01, 0.04, 0.03, 0.005)
    assert holm(ps, 0.05) == (True, False, False, True)
    assert holm(ps, 0.0299) == (False, False, False, True)
    assert holm(ps, 0.061) == (True, True, True, True)


def test_the_first_step_of_holm_is_bonferroni_over_twelve():
    # k = 2.87 for 12 tests at 5 % (normal quantile of 1 - .05/24).
    ps = [p_of(step(2.88, 1.0))] + [0.5] * 11
    assert holm(ps)[0]
    assert not holm([p_of(step(2.86, 1.0))] + [0.5] * 11)[0]


def test_a_missing_figure_is_no_member_of_the_family():
    assert holm((0.03, math.nan)) == (True, False)
    assert holm((0.03, 0.9)) == (False, False)


def test_the_chi_square_point_of_two_dimensions_is_the_border():
    # 95 % point of χ² with two degrees of freedom: 5.991.
    for size, below in ((math.sqrt(5.98), False), (math.sqrt(6.00), True)):
        p = p_of_vector(VectorChange((size, 0.0), ((1.0, 0.0), (0.0, 1.0)), math.inf))
        assert (p < 0.05) is below


def test_correlation_counts_in_the_vector_test():
    C = ((1.0, 0.9), (0.9, 1.0))
    along = p_of_vector(VectorChange((1.5, 1.5), C, math.inf))
    across = p_of_vector(VectorChange((1.5, -1.5), C, math.inf))
    assert along > 0.2
    assert across < 1e-4


def test_few_degrees_of_freedom_make_the_vector_test_milder_and_keep_its_level():
    # Hotelling's T² on simulated bivariate samples of six: 5 % of false alarms.
    rng = np.random.default_rng(5)
    n, alarms, trials = 6, 0, 4000
    for sample in rng.standard_normal((trials, n, 2)):
        mean = sample.mean(axis=0)
        C = np.cov(sample.T) / n
        change = VectorChange((mean[0], mean[1]), ((C[0, 0], C[0, 1]), (C[1, 0], C[1, 1])), n - 1)
        alarms += p_of_vector(change) < 0.05
    assert 0.04 < alarms / trials < 0.06


def test_the_bound_is_the_far_end_of_the_interval():
    assert bound_of(step(-0.5, 0.25)) == pytest.approx(0.5 + 1.96 * 0.25, abs=1e-3)
    assert bound_of(step(0.5, 0.1, 4)) == pytest.approx(0.5 + 2.776 * 0.1, abs=1e-3)


@pytest.mark.parametrize(
    ("v", "rejected", "word"),
    [(3.0, True, "changed"), (0.1, False, "no change larger than"), (0.9, False, "undecided")],
)
def test_each_word_has_its_case(v, rejected, word):
    assert judge(step(v, 0.3), 0.5, rejected, worth=1.0).verdict == word


def test_a_withheld_verdict_says_why():
    found = judge(step(9.0, 0.1), 1e-9, True, worth=1.0, why="another setting")
    assert (found.verdict, found.why) == ("undecided", "another setting")


def test_no_change_is_never_said_without_how_large_a_change_is_ruled_out():
    small, open_one = judge(step(0.02, 0.1), 0.9, False, worth=1.0), judge(step(0.9, 0.9), 0.4, False, worth=1.0)
    assert verdict(small, "%") == "no change larger than 0.22 %"
    assert verdict(open_one, "%") == "undecided (up to 2.7 % possible)"
    tiny = judge(step(0.5, 0.05), 1e-9, True, worth=1.0)
    assert verdict(tiny, "%") == "changed, too little to matter (under 1.0 %)"


def test_bounds_are_rounded_up():
    assert up_to(0.2101, "%") == "0.22 %"
    assert up_to(0.0031, "1") == "0.0031"
    assert up_to(101.0, "K") == "110 K"


@pytest.mark.parametrize("ps", [(0.03,), (0.004, 0.6, 0.7, 0.9), (0.02, 0.021, 0.019, 0.03), (0.9, 0.8, 1.0, 0.95)])
def test_simes_is_the_least_p_that_scipy_adjusts_for_false_discoveries(ps):
    # Benjamini and Hochberg's procedure rejects anything at all exactly where Simes's test rejects.
    assert simes([*ps, math.nan]) == pytest.approx(min(false_discovery_control(ps)), rel=1e-12)


def test_views_that_agree_cost_nothing_and_a_lone_one_costs_as_by_bonferroni():
    assert simes([0.004] * 4) == pytest.approx(0.004)
    assert simes([0.004, 0.5, 0.6, 0.7]) == pytest.approx(0.016)
    assert math.isnan(simes([math.nan]))


def test_hochberg_lies_between_holm_and_closed_testing_by_simes():
    rng = np.random.default_rng(8)
    differs = 0
    for _ in range(300):
        ps = (rng.uniform(0, 0.08, 4) ** rng.choice([1.0, 1.5])).tolist()
        subsets = [c for k in range(1, 5) for c in itertools.combinations(range(4), k)]
        kept = [all(simes([ps[j] for j in c]) <= 0.05 for c in subsets if i in c) for i in range(4)]
        found, least = hochberg(ps), holm(ps)
        assert all(a <= b <= c for a, b, c in zip(least, found, kept, strict=True))
        differs += found != least
    assert differs > 5


@pytest.mark.parametrize("shared", [0.0, 0.5, 0.95])
def test_simes_holds_its_level_for_views_that_share_what_moves_them(shared):
    rng, draws = np.random.default_rng(9), 20_000
    common = rng.standard_normal((draws, 1)) * math.sqrt(shared)
    z = common + math.sqrt(1 - shared) * rng.standard_normal((draws, 4))
    ps = 2 * norm.sf(np.abs(z))
    found = np.mean([simes(row) <= 0.05 for row in ps.tolist()])
    assert 0.03 < found < 0.05 + 3 * math.sqrt(0.05 * 0.95 / draws)


def test_weights_share_out_the_chance_and_leave_the_whole_as_it_is():
    # Weighted Holm (Holm 1979, section 4): 0.03 is told where four fifths of the 5 % are its own, else not.
    assert holm([0.03, 0.04]) == (False, False)
    assert holm([0.03, 0.06], weights=[4, 1]) == (True, False)
    assert holm([0.012, 0.04, math.nan], weights=[1, 4, 9]) == (True, True, False)
    rng = np.random.default_rng(10)
    wrong = [any(holm(rng.uniform(size=5).tolist(), weights=[4, 4, 1, 1, 1])) for _ in range(20_000)]
    assert 0.045 < np.mean(wrong) < 0.055
