"""Convergence on the published points: Levitt 1971, Kaernbach 1991, García-Pérez 1998."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

import pytest

from benchmarks.support.observer import normal_cdf
from panelwear.byeye.staircase import GARCIA_PEREZ, Rule, Track, kaernbach_ratio, levitt_target

SPREAD = 1.0


def proportion_right(rule: Rule, answer: Callable[[float, Random], bool], seed: int, trials: int = 6000) -> float:
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
    assert Rule.weighted(0.75, 0.1).step_up == pytest.approx(0.3)


@pytest.mark.parametrize("n", [1, 2, 3])
def test_small_equal_steps_come_to_levitt_s_point(n: int) -> None:
    # A track goes down when n answers in a row are right: with equal steps it balances where that is even.
    found = proportion_right(Rule(0.05, 0.05, n), answers, seed=n)
    assert found == pytest.approx(levitt_target(n), abs=0.02)


@pytest.mark.parametrize("p", [0.6, 0.75, 0.85])
def test_weighted_steps_come_to_kaernbach_s_point(p: float) -> None:
    found = proportion_right(Rule.weighted(p, 0.02), answers, seed=5)
    assert found == pytest.approx(p, abs=0.025)


@pytest.mark.parametrize("n", [1, 2, 3, 4])
def test_unequal_fixed_steps_come_to_garcia_perez_s_points(n: int) -> None:
    # His table holds for two-alternative forced choice, steps of about the spread of the function, means of reversals.
    def forced(level: float, random: Random) -> bool:
        return random.random() < 0.5 + 0.5 * probability(level)

    rights = []
    for seed in range(60):
        random = Random(1000 * n + seed)
        track = Track(Rule.unequal(n, 0.6), 1.5)
        while len(track.reversals) < 80:
            track.answer(forced(track.level, random))
        rights.append(0.5 + 0.5 * probability(track.mean_of_reversals(skip=10)))
    assert sum(rights) / len(rights) == pytest.approx(GARCIA_PEREZ[n][1], abs=0.015)


def test_a_track_worked_by_hand() -> None:
    track = Track(Rule(1.0, 1.0, 2), 10.0)
    levels = [track.answer(right) for right in (True, True, True, False, True, True, False)]
    # 2-down-1-up: down after two right in a row, up after each wrong.
    assert levels == [10.0, 9.0, 9.0, 10.0, 10.0, 9.0, 10.0]
    assert track.reversals == [9.0, 10.0, 9.0]


def test_first_steps_are_large_and_halve_at_reversals() -> None:
    track = Track(Rule(1.0, 1.0, first_factor=4.0), 0.0)
    assert [track.answer(r) for r in (True, True, False, True, False)] == [-4.0, -8.0, -6.0, -7.0, -6.0]


def test_an_even_number_of_reversals_is_averaged() -> None:
    track = Track(Rule(1.0, 1.0), 0.0)
    assert track.mean_of_reversals() != track.mean_of_reversals()
    for right in (True, False, True, False, True, False):
        track.answer(right)
    assert track.reversals == [-1.0, 0.0, -1.0, 0.0, -1.0]
    assert track.mean_of_reversals(skip=2) == -0.5
