from __future__ import annotations

import math

import numpy as np
import pytest

from benchmarks.support.observer import Observer
from panelwear.byeye.quest import Quest, QuestPlan
from panelwear.errors import UsageError


def test_the_threshold_is_the_weibull_point() -> None:
    # Watson & Pelli 1983: at x = T a fraction 1 - 1/e of what is above chance, less lapses.
    plan = QuestPlan()
    quest = Quest(plan, seed=1)
    at_threshold = float(quest.probability(-2.0, -2.0))
    assert at_threshold == pytest.approx(0.5 + 0.49 * (1 - math.exp(-1)))
    assert float(quest.probability(-4.0, -2.0)) == pytest.approx(0.5, abs=1e-4)
    assert float(quest.probability(0.0, -2.0)) == pytest.approx(0.99)


def test_the_posterior_is_bayes_rule_on_the_grid() -> None:
    quest = Quest(QuestPlan(), seed=1)
    shown = [quest.contrast]
    prior = np.exp(-0.5 * ((quest.grid - math.log10(0.008)) / 0.4) ** 2)
    quest.answer(True)
    shown.append(quest.contrast)
    quest.answer(False)
    likelihood = quest.probability(math.log10(shown[0]), quest.grid) * (
        1 - quest.probability(math.log10(shown[1]), quest.grid)
    )
    posterior = prior * likelihood / (prior * likelihood).sum()
    assert quest.mean_log10 == pytest.approx(float(posterior @ quest.grid), abs=1e-12)


@pytest.mark.parametrize(("trials", "published"), [(20, 0.087), (40, 0.049)])
def test_the_scatter_of_thresholds_is_as_simulated_before(trials: int, published: float) -> None:
    # Slope 3.5, two alternatives; the compared figures were simulated independently of this program. 150 runs know
    # their own scatter to 6 %; tolerated are 20 %.
    errors = []
    for seed in range(150):
        quest = Quest(QuestPlan(least_trials=trials, most_trials=trials, stop_sd=0), seed)
        Observer(seed, lapse=0.02, detection_threshold=0.006).run_quest(quest)
        errors.append(math.log10(quest.result().threshold / 0.006))
    assert float(np.std(errors)) == pytest.approx(published, rel=0.2)
    assert abs(float(np.mean(errors))) < 0.02


def test_the_stated_spread_is_the_real_one() -> None:
    errors, stated = [], []
    for seed in range(150):
        quest = Quest(QuestPlan(least_trials=40, most_trials=40, stop_sd=0), seed)
        Observer(seed).run_quest(quest)
        errors.append(math.log10(quest.result().threshold / 0.006))
        stated.append(quest.result().sd_log10)
    assert float(np.mean(stated)) == pytest.approx(float(np.std(errors)), rel=0.25)


def test_it_stops_when_the_threshold_is_known_well_enough() -> None:
    quest = Quest(QuestPlan(), seed=3)
    Observer(3).run_quest(quest)
    assert quest.sd_log10 <= 0.05 or len(quest.trials) == 60
    assert quest.result().low < quest.result().threshold < quest.result().high
    with pytest.raises(UsageError, match="is found"):
        quest.answer(True)


def test_nothing_above_the_panel_s_reach_is_ever_asked_for() -> None:
    quest = Quest(QuestPlan(largest=0.02), seed=3)
    while not quest.done:
        assert quest.contrast <= 0.02
        quest.answer(False)


def test_sides_are_balanced_by_chance() -> None:
    quest = Quest(QuestPlan(least_trials=60), seed=3)
    sides = []
    while not quest.done:
        sides.append(quest.side)
        quest.answer(True)
    assert 15 <= sides.count("left") <= 45
