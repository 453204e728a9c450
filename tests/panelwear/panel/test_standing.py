"""Patches that dim while they stand, and how long they take to settle."""

from __future__ import annotations

import numpy as np
import pytest

from panelwear.panel.standing import settle_time, standing_slope


def test_a_patch_that_dims_while_it_stands_is_noticed() -> None:
    t = np.arange(0.0, 120.0, 5.0)
    Y = 200 * (1 - 0.004 * t / 60) * (1 + np.random.default_rng(1).normal(0, 0.0005, len(t)))
    found = standing_slope(t, Y)
    assert found.dimming
    assert found.percent_per_min == pytest.approx(-0.4, abs=0.1)
    assert "limiter" in found.sentence


@pytest.mark.parametrize("slope", [0.0, 0.004, -0.0005])
def test_a_patch_that_stands_still_brightens_or_hardly_moves_is_not(slope: float) -> None:
    t = np.arange(0.0, 120.0, 5.0)
    Y = 200 * (1 + slope * t / 60) * (1 + np.random.default_rng(2).normal(0, 0.0005, len(t)))
    assert not standing_slope(t, Y).dimming


def test_false_alarms_are_rarer_than_one_in_five_hundred_patches() -> None:
    rng = np.random.default_rng(3)
    t = np.arange(5) * 1.3
    alarms = sum(standing_slope(t, 100 * (1 + rng.normal(0, 0.0015, 5)), 0.0015, 60).dimming for _ in range(3000))
    assert alarms <= 8


@pytest.mark.parametrize("values", [[np.nan] * 5, [0.0] * 5, [-1.0] * 5, [100.0, np.nan, np.nan, np.nan, 99.0]])
def test_readings_that_say_nothing_raise_no_alarm(values: list[float]) -> None:
    assert not standing_slope(np.arange(5.0), values).dimming


@pytest.mark.parametrize("tau", [0.2, 0.5, 1.0])
def test_settling_time_is_when_the_exponential_comes_within_the_tolerance(tau: float) -> None:
    t = np.arange(0.0, 15.0, 0.1)
    found = settle_time(t, 100 * (1 - 0.05 * np.exp(-t / tau)))
    # ln(0.05 / 0.001) time constants, worked by hand: 3.91.
    assert found.settle_s == pytest.approx(3.912 * tau, abs=0.11)
    assert found.final_cd_m2 == pytest.approx(100, rel=1e-4)


def test_settling_is_told_within_what_the_scatter_lets_one_see() -> None:
    t = np.arange(0.0, 12.0, 0.4)
    rng = np.random.default_rng(4)
    Y = 100 * (1 - 0.05 * np.exp(-t / 0.8)) * (1 + rng.normal(0, 0.0015, len(t)))
    found = settle_time(t, Y)
    assert 0.003 < found.tolerance_rel < 0.007
    assert 1.2 <= found.settle_s <= 4.0


def test_a_patch_that_never_settles_in_the_series_says_so() -> None:
    t = np.arange(0.0, 6.0, 0.2)
    found = settle_time(t, 100 * (1 - 0.05 * np.exp(-t / 10)))
    assert found.settle_s == float("inf")
    assert "still moves after 5.8 s" in found.sentence


def test_an_instant_change_keeps_the_least_time() -> None:
    t = np.arange(0.0, 3.0, 0.2)
    assert settle_time(t, np.full(len(t), 50.0)).settle_s == 0.3


def test_too_short_a_series_is_refused() -> None:
    with pytest.raises(ValueError, match="nine readings"):
        settle_time([0, 1, 2], [1, 1, 1])
    with pytest.raises(ValueError, match="nine readings"):
        settle_time(np.arange(10.0), np.zeros(10))
