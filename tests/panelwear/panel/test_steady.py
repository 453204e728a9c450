"""Warm-up verdicts on simulated traces."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from panelwear.panel.slope import fit_slope
from panelwear.panel.steady import (
    Sample,
    SteadyVerdict,
    WarmUpRule,
    readings_wanted,
    sample_of,
    trace,
    verdict,
    waits_for,
)

WHITE = np.array([0.9505, 1.0, 1.089])


def watch(
    light: Callable[[float], float],
    rng: np.random.Generator,
    *,
    scatter: float = 0.0015,
    xy_scatter: float = 0.0002,
    colour: Callable[[float], float] = lambda _: 0.0,
) -> tuple[float, SteadyVerdict, list[Sample]]:
    """Watch a warm-up until it is over; ``light`` and the drift of X's share are functions of seconds."""
    samples: list[Sample] = []
    for k in range(40):
        t = 120.0 * k
        Y = 100 * light(t) * (1 + rng.normal(0, scatter, 5))
        XYZ = Y[:, None] * WHITE * (1 + rng.normal(0, 2 * xy_scatter, (5, 3)) * [1, 0, 1])
        XYZ[:, 0] *= 1 + colour(t)
        sample = sample_of(t, XYZ)
        assert sample is not None
        samples.append(sample)
        found = verdict(samples)
        if found.over:
            return t, found, samples
    raise AssertionError("the warm-up never ended")


def test_a_steady_panel_settles_after_the_least_time() -> None:
    rng = np.random.default_rng(1)
    ends = [watch(lambda _: 1.0, rng) for _ in range(12)]
    assert all(found.settled for _, found, _ in ends)
    assert min(t for t, *_ in ends) == 1200.0
    assert np.median([t for t, *_ in ends]) <= 1440.0


def test_a_sharp_probe_needs_only_the_last_ten_minutes() -> None:
    t, found, _ = watch(lambda _: 1.0, np.random.default_rng(2), scatter=0.0002, xy_scatter=0.00002)
    assert (t, found.window_s) == (1200.0, 600.0)


def test_a_probe_that_scatters_reads_more_at_each_look_and_a_steady_panel_still_ends_early() -> None:
    """With five readings a look, whatever the probe, a steady panel took 30 minutes and up to an hour."""

    def ends(number: Callable[[list[Sample]], int], scatter: float) -> list[float]:
        rng = np.random.default_rng(6)
        found = []
        for _ in range(12):
            samples: list[Sample] = []
            while not samples or not verdict(samples).over:
                Y = 100 * (1 + rng.normal(0, scatter, number(samples)))
                XYZ = Y[:, None] * WHITE * (1 + rng.normal(0, 0.0004, (len(Y), 3)) * [1, 0, 1])
                sample = sample_of(120.0 * len(samples), XYZ)
                assert sample is not None
                samples.append(sample)
            assert verdict(samples).settled
            found.append(samples[-1].at_s)
        return found

    assert np.median(ends(lambda _: 5, 0.003)) >= 1800.0
    assert np.median(ends(readings_wanted, 0.003)) == 1200.0
    assert max(ends(readings_wanted, 0.003)) <= 1800.0
    assert [readings_wanted([]), readings_wanted([Sample(0.0, 100.0, 0.3, 0.3, 0.0001, 1e-6, 1e-6, 5)])] == [5, 5]
    assert readings_wanted([Sample(0.0, 100.0, 0.3, 0.3, 0.01, 1e-6, 1e-6, 5)]) == 40


def test_it_says_whether_it_waits_for_light_or_for_colour() -> None:
    sharp = {"scatter": 0.0001, "xy_scatter": 0.00002}
    _, _, warming = watch(lambda t: 1 + 0.01 * t / 600, np.random.default_rng(7), **sharp)
    _, _, tinted = watch(lambda _: 1.0, np.random.default_rng(7), colour=lambda t: 0.003 * t / 600, **sharp)
    _, _, steady = watch(lambda _: 1.0, np.random.default_rng(7), **sharp)

    assert waits_for(warming).for_what == "light"
    assert "limit 0.10 %" in waits_for(warming).light
    assert waits_for(tinted).for_what == "colour"
    assert "limit 0.00020" in waits_for(tinted).colour
    assert waits_for(steady[:8]).for_what == "the least time"
    assert waits_for(steady[:2]).for_what == "the first ten minutes of readings"


def test_a_panel_that_warms_up_is_waited_for_and_then_hardly_moves() -> None:
    def light(t: float) -> float:
        return float(1 + 0.008 * np.exp(-t / 480))

    rng = np.random.default_rng(3)
    for _ in range(12):
        t, found, _ = watch(light, rng)
        assert found.settled
        assert t > 1200
        # Per ten minutes, where it was called settled: the true slope, not the fitted one.
        assert abs(light(t) - light(t - 600)) < 0.0015


@pytest.mark.slow
@pytest.mark.parametrize("per_ten_minutes", [0.002, -0.003, 0.01])
def test_a_panel_that_keeps_moving_is_never_called_settled(per_ten_minutes: float) -> None:
    rng = np.random.default_rng(4)
    for _ in range(8):
        t, found, _ = watch(lambda t: 1 + per_ten_minutes * t / 600, rng)
        assert (found.settled, found.over, t) == (False, True, 3600.0)
        assert "not-settled" in found.sentence
        assert found.slope_percent == pytest.approx(100 * per_ten_minutes, abs=0.2)


def test_a_drifting_colour_alone_keeps_it_unsettled() -> None:
    # x moves by about 0.31 · 0.69 · dX/X: 0.003 in X per ten minutes is 0.0006 in x.
    _, found, _ = watch(lambda _: 1.0, np.random.default_rng(5), xy_scatter=0.00005, colour=lambda t: 0.003 * t / 600)
    assert not found.settled
    assert found.slope_x == pytest.approx(0.00064, abs=0.0001)


def test_a_probe_that_scatters_much_cannot_prove_a_panel_steady() -> None:
    t, found, _ = watch(lambda _: 1.0, np.random.default_rng(6), scatter=0.02)
    assert (found.settled, t) == (False, 3600.0)


def test_steps_between_looks_count_even_when_each_look_is_quiet() -> None:
    rng = np.random.default_rng(7)
    level = iter(1 + rng.normal(0, 0.01, 60))
    _, found, _ = watch(lambda _: next(level), rng, scatter=0.0001)
    assert not found.settled


def test_a_meter_of_luminance_only_is_judged_by_luminance() -> None:
    samples = []
    rng = np.random.default_rng(8)
    for k in range(11):
        Y = 100 * (1 + rng.normal(0, 0.0002, 5))
        sample = sample_of(120.0 * k, np.column_stack([np.full(5, np.nan), Y, np.full(5, np.nan)]))
        assert sample is not None
        samples.append(sample)
    assert verdict(samples).settled
    assert "0.3" not in trace(samples)[1]


def test_failed_readings_are_left_out_of_a_look() -> None:
    sample = sample_of(0.0, [[95.0, 100.0, 109.0], [np.nan, np.nan, np.nan], [95.0, -1.0, 109.0], [97.0, 102.0, 111.0]])
    assert sample is not None
    assert (sample.n, sample.Y_cd_m2) == (2, 101.0)
    assert sample_of(0.0, [[np.nan, np.nan, np.nan]]) is None


def test_chromaticity_comes_from_the_averaged_tristimulus_values() -> None:
    sample = sample_of(0.0, [[1.0, 1.0, 1.0], [9.0, 1.0, 1.0]])
    assert sample is not None
    assert sample.x == pytest.approx(10 / 14)


def test_the_least_and_the_longest_time_are_the_rules() -> None:
    quiet = [Sample(60.0 * k, 100.0, 0.31, 0.33, 0.0001, 1e-5, 1e-5, 5) for k in range(40)]
    assert not verdict(quiet[:15], WarmUpRule(least_s=1800)).settled
    assert verdict(quiet[:31], WarmUpRule(least_s=1800)).settled
    assert verdict([], WarmUpRule()).sentence == "Warming up: no reading yet."
    assert not verdict(quiet[:3]).over


def test_the_trace_draws_every_look_with_its_numbers() -> None:
    _, _, samples = watch(lambda t: 1 + 0.008 * np.exp(-t / 480), np.random.default_rng(9))
    lines = trace(samples)
    assert len(lines) == len(samples) + 1
    assert lines[-1].index("o") == lines[0].index("0") == 34 + 20
    assert lines[1].index("o") > lines[3].index("o") > lines[-1].index("o")
    assert trace([]) == ()


def test_slope_and_its_uncertainty_are_those_of_ordinary_least_squares() -> None:
    # scipy.stats.linregress is the reference.
    from scipy.stats import linregress

    rng = np.random.default_rng(10)
    t = np.sort(rng.uniform(0, 600, 9))
    v = 3 + 0.01 * t + rng.normal(0, 0.2, 9)
    ours, theirs = fit_slope(t, v), linregress(t, v)
    assert ours.per_s == pytest.approx(theirs.slope, rel=1e-12)
    assert ours.u_per_s == pytest.approx(theirs.stderr, rel=1e-9)
    assert ours.dof == 7


@pytest.mark.slow
def test_the_interval_of_a_slope_holds_the_truth_in_nineteen_of_twenty() -> None:
    rng = np.random.default_rng(11)
    t = np.arange(6) * 120.0
    held = [
        abs((s := fit_slope(t, 1e-6 * t + rng.normal(0, 0.0007, 6), 0.0007, 24)).per_s - 1e-6) <= s.half_width()
        for _ in range(2000)
    ]
    assert np.mean(held) == pytest.approx(0.95, abs=0.02)


def test_a_slope_needs_three_different_times() -> None:
    assert np.isnan(fit_slope([0, 1], [1, 2]).per_s)
    assert np.isnan(fit_slope([1, 1, 1], [1, 2, 3]).per_s)
    assert not fit_slope([0, 1], [1, 2]).within(1.0)
