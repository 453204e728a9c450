from __future__ import annotations

import math
from collections.abc import Callable
from random import Random

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.stats import norm

from benchmarks.support.observer import Observer, least_standard_error, normal_cdf
from benchmarks.support.up_down_rules import (
    GARCIA_PEREZ,
    kaernbach_ratio,
    levitt_target,
    mean_of_reversals,
    unequal,
    weighted,
)
from panelwear.byeye.forced_choice import ChoicePlan, PairChoice, Track, UpDownRule
from panelwear.byeye.probit import SpreadPrior, average_probit, fit_probit
from panelwear.errors import UsageError

# Bliss (1935), beetles against log10 dose of carbon disulphide; data as reprinted in every textbook of generalised
# linear models. Probit coefficients and standard errors from memory: -34.94 (2.64), 19.73 (1.48).
DOSE = (1.6907, 1.7242, 1.7552, 1.7842, 1.8113, 1.8369, 1.8610, 1.8839)
BEETLES = (59, 60, 62, 56, 63, 59, 62, 60)
KILLED = (6, 13, 18, 28, 52, 53, 61, 60)


def test_bliss_s_beetles() -> None:
    found = fit_probit(DOSE, KILLED, BEETLES)
    assert 1 / found.spread == pytest.approx(19.73, abs=0.01)
    assert -found.mean / found.spread == pytest.approx(-34.94, abs=0.01)
    # Delta method from the textbook's slope error: u(spread) = u(slope) spread².
    assert found.u_spread == pytest.approx(1.48 * found.spread**2, rel=0.01)


def test_the_fit_is_scipy_s_maximum_of_the_likelihood() -> None:
    rng = np.random.default_rng(3)
    x = rng.uniform(-0.02, 0.02, 80)
    yes = (rng.random(80) < norm.cdf((x - 0.003) / 0.006)).astype(float)
    lapse = 0.02

    def loss(theta: np.ndarray) -> float:
        p = lapse / 2 + (1 - lapse) * norm.cdf((x - theta[0]) / math.exp(theta[1]))
        return -float((yes * np.log(p) + (1 - yes) * np.log(1 - p)).sum())

    theirs = minimize(loss, [0.0, math.log(0.005)], method="Nelder-Mead", options={"xatol": 1e-10, "fatol": 1e-12})
    ours = fit_probit(x.tolist(), yes.tolist(), lapse=lapse)
    assert ours.mean == pytest.approx(theirs.x[0], abs=1e-7)
    assert ours.spread == pytest.approx(math.exp(theirs.x[1]), rel=1e-4)


def test_answers_all_alike_need_a_prior() -> None:
    with pytest.raises(UsageError, match="answers of both kinds"):
        fit_probit([1.0, 2.0], [1.0, 1.0])
    with pytest.raises(UsageError, match="answers of both kinds"):
        fit_probit([], [])


def test_fully_separated_answers_stay_finite_with_a_prior() -> None:
    x = [-0.02, -0.01, -0.005, 0.006, 0.012, 0.02]
    found = fit_probit(x, [0, 0, 0, 1, 1, 1], prior=SpreadPrior(0.005))
    assert -0.005 < found.mean < 0.006
    assert math.isfinite(found.u_mean)
    assert 0.0003 < found.spread < 0.02


def test_weighing_all_spreads_agrees_with_the_best_fit_when_answers_are_many() -> None:
    rng = np.random.default_rng(9)
    x = rng.uniform(-0.015, 0.015, 1500)
    yes = (rng.random(1500) < norm.cdf((x + 0.002) / 0.005)).astype(float).tolist()
    best = fit_probit(x.tolist(), yes)
    all_of_them = average_probit(
        x.tolist(), yes, lapse=1e-6, prior=SpreadPrior(0.005), around=best.mean, reach=8 * best.u_mean
    )
    assert all_of_them.mean == pytest.approx(best.mean, abs=0.1 * best.u_mean)
    assert all_of_them.u_mean == pytest.approx(best.u_mean, rel=0.05)


def test_forty_answers_reach_the_wanted_standard_error() -> None:
    # Spread 0.5 %, 2 % lapses: the scatter of 120 runs about the truth (its own error is 6.5 %).
    errors, stated, held = [], [], 0
    for seed in range(120):
        choice = PairChoice(ChoicePlan(stop_u=0.0, least_trials=40, most_trials=40), seed)
        Observer(seed + 9000).run_choice(choice, 0.01)
        found = choice.result()
        errors.append(found.contrast - 0.01)
        stated.append(found.u)
        held += found.low <= 0.01 <= found.high
    rms = math.sqrt(sum(e * e for e in errors) / len(errors))
    assert least_standard_error(0.005, 40) < rms <= 0.0015
    assert sum(stated) / len(stated) <= 0.0015
    assert 0.91 <= held / 120 <= 1.0


def test_the_bound_on_the_standard_error() -> None:
    # 1.2533 x 0.5 % / sqrt(40), evaluated by hand.
    assert least_standard_error(0.005, 40) == pytest.approx(0.00099, abs=1e-5)


def test_forced_choice_stops_at_its_standard_error_or_at_sixty() -> None:
    careful = PairChoice(ChoicePlan(), seed=2)
    Observer(1, spread=0.003).run_choice(careful, -0.02)
    assert careful.result().u <= ChoicePlan().stop_u
    assert 20 <= careful.result().trials < 60
    unsure = PairChoice(ChoicePlan(), seed=2)
    Observer(1, spread=0.03).run_choice(unsure, -0.02)
    assert unsure.result().u > ChoicePlan().stop_u
    assert unsure.result().trials == 60
    with pytest.raises(UsageError, match="has ended"):
        unsure.answer(True)


def test_an_observer_who_always_says_brighter_is_seen_in_the_shams_and_gets_no_result() -> None:
    choice = PairChoice(ChoicePlan(), seed=5)
    while not choice.done:
        choice.answer(True)
    assert len(choice.sham_answers) >= 5
    assert all(choice.sham_answers)
    with pytest.raises(UsageError, match="no order"):
        choice.result()


@pytest.mark.slow
def test_one_trial_in_six_is_a_sham_and_one_a_decoy_wherever_it_stops() -> None:
    for seed in range(6):
        choice = PairChoice(ChoicePlan(stop_u=0.0), seed)
        random, kinds = Random(seed), list[str]()
        while not choice.done:
            kinds.append(choice.kind)
            assert choice.sham == (choice.aside and choice.c == 0)
            choice.answer(random.random() < 0.5)
            if len(choice.shown) >= choice.plan.least_trials:
                assert 0.15 <= kinds.count("sham") / len(kinds) <= 0.2
        assert kinds[0] == "zone"
        assert kinds.count("sham") == kinds.count("decoy") == 15
        assert choice.decoys == 15
        assert len(choice.shown) == 60


def test_too_few_answers_give_no_result() -> None:
    choice = PairChoice(ChoicePlan(shams=False), seed=5)
    for _ in range(7):
        choice.answer(True)
    with pytest.raises(UsageError, match="at least eight answers"):
        choice.result()


def test_both_tracks_get_their_turn_and_none_runs_ahead() -> None:
    choice = PairChoice(ChoicePlan(shams=False), seed=8)
    observer = Observer(4)
    while not choice.done:
        choice.answer(observer.brighter(choice.c))
        assert abs(len(choice.tracks[0].levels) - len(choice.tracks[1].levels)) <= 1


SPREAD = 1.0


def proportion_right(rule: UpDownRule, answer: Callable[[float, Random], bool], seed: int, trials: int = 6000) -> float:
    """Run one long track and return the mean probability of being right at the levels it stood at."""
    random = Random(seed)
    track = Track(rule, 1.0)
    for _ in range(trials):
        track.answer(answer(track.level, random))
    mean = sum(track.levels[200:]) / len(track.levels[200:])
    return probability(mean)


def probability(level: float) -> float:
    """Yes-no psychometric function without guessing: cumulative normal about 0."""
    return normal_cdf(level / SPREAD)


def answers(level: float, random: Random) -> bool:
    return random.random() < probability(level)


@pytest.mark.parametrize(("n", "p"), [(1, 0.5), (2, 0.7071), (3, 0.7937), (4, 0.8409)])
def test_levitt_s_targets(n: int, p: float) -> None:
    assert levitt_target(n) == pytest.approx(p, abs=5e-5)


def test_kaernbach_s_step_ratio_for_three_quarters_right() -> None:
    assert kaernbach_ratio(0.75) == pytest.approx(3)
    assert weighted(0.75, 0.1).step_up == pytest.approx(0.3)


@pytest.mark.parametrize("n", [1, 2, 3])
def test_small_equal_steps_come_to_levitt_s_point(n: int) -> None:
    # A track goes down when n answers in a row are right: with equal steps it balances where that is even.
    found = proportion_right(UpDownRule(0.05, 0.05, n), answers, seed=n)
    assert found == pytest.approx(levitt_target(n), abs=0.02)


@pytest.mark.parametrize("p", [0.6, 0.75, 0.85])
def test_weighted_steps_come_to_kaernbach_s_point(p: float) -> None:
    found = proportion_right(weighted(p, 0.02), answers, seed=5)
    assert found == pytest.approx(p, abs=0.025)


@pytest.mark.parametrize("n", [1, 2, 3, 4])
def test_unequal_fixed_steps_come_to_garcia_perez_s_points(n: int) -> None:
    # His table holds for two-alternative forced choice, steps of about the spread of the function, means of reversals.
    def forced(level: float, random: Random) -> bool:
        return random.random() < 0.5 + 0.5 * probability(level)

    rights = []
    for seed in range(60):
        random = Random(1000 * n + seed)
        track = Track(unequal(n, 0.6), 1.5)
        while len(track.reversals) < 80:
            track.answer(forced(track.level, random))
        rights.append(0.5 + 0.5 * probability(mean_of_reversals(track, skip=10)))
    assert sum(rights) / len(rights) == pytest.approx(GARCIA_PEREZ[n][1], abs=0.015)


def test_a_track_worked_by_hand() -> None:
    track = Track(UpDownRule(1.0, 1.0, 2), 10.0)
    levels = [track.answer(right) for right in (True, True, True, False, True, True, False)]
    # 2-down-1-up: down after two right in a row, up after each wrong.
    assert levels == [10.0, 9.0, 9.0, 10.0, 10.0, 9.0, 10.0]
    assert track.reversals == [9.0, 10.0, 9.0]


def test_first_steps_are_large_and_halve_at_reversals() -> None:
    track = Track(UpDownRule(1.0, 1.0, first_factor=4.0), 0.0)
    assert [track.answer(r) for r in (True, True, False, True, False)] == [-4.0, -8.0, -6.0, -7.0, -6.0]


def test_an_even_number_of_reversals_is_averaged() -> None:
    track = Track(UpDownRule(1.0, 1.0), 0.0)
    assert math.isnan(mean_of_reversals(track))
    for right in (True, False, True, False, True, False):
        track.answer(right)
    assert track.reversals == [-1.0, 0.0, -1.0, 0.0, -1.0]
    assert mean_of_reversals(track, skip=2) == -0.5


@pytest.mark.parametrize("seed", [3, 11, 29])
def test_keys_at_random_give_no_result_and_it_says_why(seed: int) -> None:
    random, choice = Random(seed), PairChoice(ChoicePlan(), seed)
    while not choice.done:
        choice.answer(random.random() < 0.5, after_s=0.7)
    with pytest.raises(UsageError, match="no order"):
        choice.result()


def test_answers_faster_than_a_person_give_no_result_however_well_they_are_ordered() -> None:
    choice = PairChoice(ChoicePlan(), 4)
    while not choice.done:
        choice.answer(choice.c > 0.01, after_s=0.31)
    with pytest.raises(UsageError, match=r"within 0\.4 s of the picture"):
        choice.result()
