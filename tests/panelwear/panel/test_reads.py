"""Enough readings, and no more."""

from __future__ import annotations

import numpy as np
import pytest

from panelwear.panel.noise import NoiseModel, fit_noise
from panelwear.panel.reads import (
    first_stage,
    total_readings,
    wanted_u,
    whole_periods,
)
from sequences.model import Reads

TWO_STAGE = Reads(5, until=0.002, until_cd_m2=0.003, max=400)


def five_with(sd: float, mean: float = 100.0) -> list[float]:
    """Five numbers with exactly this mean and sample standard deviation."""
    shape = np.array([-2.0, -1.0, 0.0, 1.0, 2.0])
    return list(mean + sd * shape / shape.std(ddof=1))


def test_a_fixed_number_is_just_that() -> None:
    assert first_stage(Reads(3)) == 3
    assert total_readings([1.0, 2.0, 3.0], Reads(3)) == 3


@pytest.mark.parametrize(("sd", "n"), [(0.1, 5), (0.3, 5), (0.4, 8), (0.6, 18), (1.0, 50)])
def test_two_stage_number_is_two_times_s_over_u_squared(sd: float, n: int) -> None:
    # ceil(2.0 (s/u)²) with u = 0.2 cd/m² at 100 cd/m², at least 5: worked by hand.
    assert total_readings(five_with(sd), TWO_STAGE) == n


def test_the_floor_rules_where_a_share_of_the_light_would_be_absurd() -> None:
    assert wanted_u(100.0, TWO_STAGE) == pytest.approx(0.2)
    assert wanted_u(0.1, TWO_STAGE) == pytest.approx(0.003)
    assert total_readings(five_with(0.006, mean=0.05), TWO_STAGE) == 8


def test_the_maximum_holds() -> None:
    assert total_readings(five_with(50.0), Reads(5, until=0.002, max=40)) == 40
    assert total_readings(five_with(0.01, mean=0.0), Reads(5, until=0.002, max=40)) == 40


def test_failed_readings_do_not_count_as_scatter() -> None:
    assert total_readings([100.0, float("nan"), 100.1, 99.9, 100.0], TWO_STAGE) == 5
    assert total_readings([float("nan")] * 5, TWO_STAGE) == 5


@pytest.mark.slow
def test_the_mean_has_the_wanted_uncertainty_where_naive_stopping_does_not() -> None:
    rng = np.random.default_rng(7)
    reads = Reads(5, until=0.002, max=10_000)
    two_stage, naive = [], []
    for _ in range(4000):
        stream = list(100 * (1 + rng.normal(0, 0.006, 5)))
        n = total_readings(stream, reads)
        two_stage.append(np.mean([*stream, *(100 * (1 + rng.normal(0, 0.006, n - 5)))]))
        growing = list(100 * (1 + rng.normal(0, 0.006, 5)))
        while np.std(growing, ddof=1) / np.sqrt(len(growing)) > 0.2:
            growing.append(100 * (1 + rng.normal(0, 0.006)))
        naive.append(np.mean(growing))
    # The scatter of 4000 means is known to 1.1 %: three of those are allowed.
    assert np.std(two_stage) <= 0.2 * 1.034
    assert np.std(naive) > 0.2 * 1.05


def test_a_fitted_noise_model_steadies_the_number_for_dark_patches() -> None:
    noise = NoiseModel(0.006, 0.0, 0.0015, dof=40)
    reads = Reads(5, until=0.002, until_cd_m2=0.003, max=100)
    rng = np.random.default_rng(1)
    alone, helped = [], []
    for _ in range(300):
        first = list(rng.normal(0.05, 0.006, 5))
        alone.append(total_readings(first, reads))
        helped.append(total_readings(first, reads, noise))
    # One first stage in a hundred scatters enough to be judged by itself, so the tails are left out.
    assert np.ptp(np.percentile(helped, [5, 95])) < np.ptp(np.percentile(alone, [5, 95])) / 3
    assert np.mean(helped) < np.mean(alone)


def test_a_patch_that_scatters_more_than_the_model_is_judged_by_itself() -> None:
    noise = NoiseModel(0.003, 0.0, 0.0015, dof=40)
    assert total_readings(five_with(1.0), TWO_STAGE, noise) == 50


def test_the_noise_model_is_found_again_from_repeats() -> None:
    true = NoiseModel(0.005, 0.0002, 0.002)
    rng = np.random.default_rng(4)
    levels = np.array([0.02, 0.1, 0.5, 2.0, 10.0, 50.0, 200.0])
    repeats = [rng.normal(L, true.sd(L), 400) for L in levels]
    found = fit_noise([r.mean() for r in repeats], [r.std(ddof=1) for r in repeats], [400] * 7)
    for L in (0.05, 1.0, 30.0, 150.0):
        assert found.sd(L) == pytest.approx(true.sd(L), rel=0.08)
    assert found.dof == 7 * 399


def test_noise_terms_are_never_negative() -> None:
    found = fit_noise([0.01, 1.0, 100.0], [0.01, 0.005, 0.002], [10, 10, 10])
    assert min(found.dark_cd_m2, found.shot_cd_m2, found.relative) >= 0


def test_too_few_repeats_for_a_noise_model_are_refused() -> None:
    with pytest.raises(ValueError, match="three levels"):
        fit_noise([1.0, 2.0], [0.1, 0.1], [5, 5])
    with pytest.raises(ValueError, match="three levels"):
        fit_noise([1.0, 2.0, 3.0], [0.0, 0.0, 0.0], [5, 5, 5])


@pytest.mark.parametrize(
    ("asked", "hz", "got"),
    [
        (0.2, 60, 0.2),
        (0.25, 60, 15 / 60),
        (0.26, 60, 16 / 60),
        (1.0, 59.94, 60 / 59.94),
        (0.1, 144, 29 / 144),
        (0.1, 24, 10 / 24),
    ],
)
def test_integration_spans_whole_refresh_periods(asked: float, hz: float, got: float) -> None:
    assert whole_periods(asked, hz) == pytest.approx(got, rel=1e-12)


@pytest.mark.parametrize("hz", [0.0, float("nan"), -60.0])
def test_an_unknown_refresh_leaves_the_integration_alone(hz: float) -> None:
    assert whole_periods(0.5, hz) == 0.5
