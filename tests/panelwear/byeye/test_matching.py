from __future__ import annotations

import math
from itertools import pairwise

import pytest

from benchmarks.support.observer import Observer
from panelwear.byeye.matching import Matching, MatchPlan, analyse, contrast_of
from panelwear.errors import UsageError


def test_the_correction_and_the_contrast_undo_each_other() -> None:
    for contrast in (-0.03, -0.001, 0.0, 0.02, 0.5):
        c = contrast_of(contrast)
        assert (1 + contrast) * (1 + c) == pytest.approx(1, rel=1e-15)
        assert contrast_of(c) == pytest.approx(contrast, abs=1e-15)


def test_the_result_of_six_settings_worked_by_hand() -> None:
    # Bright 1.2 1.0 1.4, dark 0.2 0.4 0.0 (in %): means 1.2 and 0.2, pooled SD 0.2, so PSE 0.7, SE 0.2/sqrt(6),
    # t(4, 0.975) = 2.776 (JCGM 100 table G.2).
    found = analyse((0.012, 0.010, 0.014), (0.002, 0.004, 0.000))
    assert found.contrast == pytest.approx(-0.007 / 1.007)
    assert found.setting_spread == pytest.approx(0.002)
    assert found.u == pytest.approx(0.002 / math.sqrt(6) / 1.007**2)
    assert found.dof == 4
    assert found.high == pytest.approx(contrast_of(0.007 - 2.776 * 0.002 / math.sqrt(6)), abs=1e-6)
    assert found.hysteresis == pytest.approx(0.010)
    assert found.own_threshold == pytest.approx(0.005)


@pytest.mark.parametrize(
    ("spread", "u", "half"), [(0.003, 0.0012, 0.0031), (0.005, 0.0020, 0.0052), (0.01, 0.0041, 0.0105)]
)
def test_six_settings_of_known_scatter_have_the_standard_error_of_six(spread: float, u: float, half: float) -> None:
    # s / sqrt(6) and t(5) s / sqrt(6) for one common mean, common statistics; ours pools within both directions, which
    # costs one degree of freedom: t(4) / t(5) = 2.776 / 2.571.
    three = (-spread, 0.0, spread)
    found = analyse(three, three)
    assert found.setting_spread == pytest.approx(spread)
    assert found.u == pytest.approx(u, abs=0.0001)
    assert (found.high - found.low) / 2 == pytest.approx(half * 2.776 / 2.571, rel=0.02)


def test_settings_that_do_not_differ_by_direction_give_no_threshold_of_one_s_own() -> None:
    found = analyse((0.001, -0.001, 0.002), (0.002, -0.002, 0.001))
    assert math.isnan(found.own_threshold)


def test_half_the_settings_start_too_bright_and_half_too_dark_in_turn() -> None:
    matching = Matching(MatchPlan(settings=10), seed=4)
    Observer(1).run_matching(matching, 0.01)
    sides = [s.trial.side for s in matching.settings if s.trial.kind == "zone"]
    assert sides.count("bright") == sides.count("dark") == 5
    assert all(a != b for a, b in pairwise(sides))


def test_starts_lie_on_their_own_side_of_the_match_and_are_never_twice_the_same() -> None:
    matching = Matching(MatchPlan(settings=12), seed=11)
    Observer(2, setting_spread=0.001).run_matching(matching, 0.02)
    starts = [s.trial for s in matching.settings if s.trial.kind == "zone"]
    match = contrast_of(0.02)
    assert all((t.start > match) == (t.side == "bright") for t in starts)
    assert len({t.start for t in starts}) == len(starts)


@pytest.mark.parametrize(("settings", "shams"), [(6, 2), (8, 2), (10, 3), (12, 3), (20, 5), (40, 11)])
def test_a_sixth_of_the_trials_are_shams(settings: int, shams: int) -> None:
    plan = MatchPlan(settings=settings)
    assert plan.shams == shams
    assert 0.15 <= shams / (settings + 2 * shams) <= 0.20


def test_shams_never_come_before_the_zone_was_seen_and_stand_at_other_places_for_other_seeds() -> None:
    orders = set()
    for seed in range(30):
        matching = Matching(MatchPlan(), seed)
        Observer(seed).run_matching(matching, 0.0)
        kinds = tuple(s.trial.kind for s in matching.settings)
        assert kinds[:2] == ("practice", "zone")
        orders.add(kinds)
    assert len(orders) > 10


def test_decoys_lie_where_shams_do_and_begin_alike_on_the_screen() -> None:
    starts: dict[str, list[float]] = {"sham": [], "decoy": []}
    matches: list[float] = []
    for seed in range(150):
        matching = Matching(MatchPlan(), seed)
        while not matching.done:
            if matching.trial.aside:
                starts[matching.trial.kind].append(matching.seen)
            Observer(seed, setting_spread=0.001).set_match(matching, 0.02)
        matches += [contrast_of(s.c) for s in matching.settings if s.trial.kind == "decoy"]
        found = matching.result()
        assert found.decoys == len(found.sham_settings) == 2
        assert len(found.settings) == 8, "decoys do not count"
    low, high = MatchPlan().start_offset
    for seen in starts.values():
        assert len(seen) == 300
        assert all(low - 1e-12 <= abs(c) <= high + 1e-12 for c in seen)
        assert sum(c > 0 for c in seen) == 150
    # Means of 300 uniform starts: the standard error of their difference is 0.05 %.
    means = [sum(map(abs, seen)) / 300 for seen in starts.values()]
    assert means[0] == pytest.approx(means[1], abs=0.0016)
    assert min(map(abs, matches)) > 0.002, "something is to be found in every decoy"
    assert {n > 0 for n in matches} == {True, False}


def test_a_decoy_reaches_as_far_as_the_panel_does() -> None:
    matching = Matching(MatchPlan(limits=(-0.05, 0.04)), seed=3)
    while matching.trial.kind != "decoy":
        Observer(1).set_match(matching, 0.01)
    matching.turn(10_000)
    assert matching.seen == pytest.approx(0.04)
    matching.turn(-10_000)
    assert matching.seen == pytest.approx(-0.05)


def test_the_same_seed_gives_the_same_run() -> None:
    runs = []
    for _ in range(2):
        matching = Matching(MatchPlan(), seed=7)
        Observer(3).run_matching(matching, -0.015)
        runs.append(matching.result())
    assert runs[0] == runs[1]


def test_a_start_is_no_setting() -> None:
    matching = Matching(MatchPlan(), seed=1)
    with pytest.raises(UsageError, match="adjust the zone until it has just gone"):
        matching.accept()
    assert matching.settings == []


def test_a_setting_can_be_made_again() -> None:
    matching = Matching(MatchPlan(), seed=1)
    first = matching.trial
    assert not matching.undo()
    matching.turn(3)
    matching.accept()
    assert matching.trial.number == 2
    assert matching.undo()
    assert matching.trial == first
    assert matching.c == first.start


def test_the_correction_stays_within_the_panel_s_reach() -> None:
    matching = Matching(MatchPlan(limits=(-0.02, 0.013)), seed=1)
    assert matching.turn(10_000) == 0.013
    assert matching.turn(-10_000, "coarse") == -0.02


@pytest.mark.parametrize("settings", [4, 7, 0])
def test_too_few_or_uneven_settings_are_refused(settings: int) -> None:
    with pytest.raises(UsageError, match="even number of settings, at least 6"):
        MatchPlan(settings=settings)


def test_a_level_without_headroom_is_refused() -> None:
    with pytest.raises(UsageError, match="cannot go both ways"):
        MatchPlan(limits=(-0.1, 0.0))


def test_a_run_that_was_broken_off_says_what_is_missing() -> None:
    matching = Matching(MatchPlan(), seed=1)
    with pytest.raises(UsageError, match="at least two settings"):
        matching.result()


@pytest.mark.parametrize("contrast", [-0.03, -0.01, 0.0, 0.01, 0.03])
def test_t_intervals_hold_planted_contrasts(contrast: float) -> None:
    # 200 runs: a true 0.95 lies within 0.91..0.985 in all but one of a thousand (binomial); the benchmark does 1,000.
    held = 0
    for seed in range(200):
        matching = Matching(MatchPlan(), seed)
        Observer(seed + 5000).run_matching(matching, contrast)
        found = matching.result()
        held += found.low <= contrast <= found.high
    assert 0.91 <= held / 200 <= 0.985


def test_hysteresis_finds_the_observer_s_own_threshold() -> None:
    found = []
    for seed in range(60):
        matching = Matching(MatchPlan(settings=12), seed)
        Observer(seed, setting_spread=0.002, own_threshold=0.005).run_matching(matching, 0.01)
        found.append(matching.result().own_threshold)
    # A setting is the first step inside the border, so on average half a step (0.1 %) short of it.
    assert sum(found) / len(found) == pytest.approx(0.005 - 0.001, abs=0.0004)


def test_a_bias_of_the_observer_moves_zone_and_sham_alike() -> None:
    matching = Matching(MatchPlan(settings=20), seed=3)
    Observer(8, setting_spread=0.001, bias=0.01, own_threshold=0.002).run_matching(matching, 0.02)
    found = matching.result()
    assert found.contrast == pytest.approx(0.03, abs=0.002)
    assert sum(found.sham_settings) / len(found.sham_settings) == pytest.approx(-0.01, abs=0.002)
    assert found.sham_found == len(found.sham_settings)


def test_an_honest_observer_finds_little_where_nothing_is() -> None:
    found = shams = 0
    for seed in range(200):
        matching = Matching(MatchPlan(), seed)
        Observer(seed).run_matching(matching, 0.02)
        result = matching.result()
        found += result.sham_found
        shams += len(result.sham_settings)
    assert found / shams < 0.12
