"""When white will have shifted: along its one way, with no bias from noise, cuts taken out."""

import math

import numpy as np
import pytest

from panelwear.ageing.shift_forecast import WhiteAtHours, distances, shift_forecast

HOURS = np.linspace(0, 3600, 7)


def whites(size, u=0.0001, seed=None, jump=0.0, setting=0):
    rng = np.random.default_rng(seed)
    found = []
    for i, h in enumerate(HOURS):
        s = size * h / 3600 + (jump if i > 3 else 0.0)
        du, dv = (u * rng.standard_normal(2)) if seed is not None else (0.0, 0.0)
        found.append(
            WhiteAtHours(
                float(h),
                0.1978 + 0.6 * s + du,
                0.4683 - 0.8 * s + dv,
                u,
                u,
                int(bool(jump) and i > 3),
                setting * (i > 3),
            )
        )
    return found


def test_a_straight_shift_reaches_its_value_between_the_limits():
    # 0.003 in 3600 h, straight on: 0.004 at 4800 h.
    found = shift_forecast(whites(0.003), 0.004)
    assert found.said == "interval"
    assert found.low_h < 4800 < found.high_h
    assert "as long as wear does not speed up" in found.sentence


def test_the_distance_is_that_along_the_way_whatever_its_direction():
    assert [p.value for p in distances(whites(0.003))] == pytest.approx(0.003 * HOURS / 3600)


def test_noise_makes_a_shift_that_may_be_told_no_larger_than_it_is():
    # Ten times its standard uncertainty, below which only a lower limit is said; 400 series, three standard errors.
    u = 0.0001 * math.sqrt(2)
    found = [distances(whites(10 * u, seed=seed))[-1].value for seed in range(400)]
    assert np.mean(found) == pytest.approx(10 * u, abs=3 * u / math.sqrt(400))


def test_noise_alone_makes_less_of_a_shift_than_sizes_would():
    # The size of a vector of noise is sqrt(pi) u on the mean (Rayleigh, two readings): 0.00018 here.
    half = [distances(whites(0.0, seed=seed))[3].value for seed in range(400)]
    assert abs(np.mean(half)) < 0.6 * math.sqrt(math.pi) * 0.0001


def test_what_a_cycle_did_to_white_counts_and_what_a_setting_did_does_not():
    cycle, setting = whites(0.003, jump=0.001), whites(0.003, jump=0.001, setting=1)
    assert distances(cycle)[-1].value == pytest.approx(0.004, rel=0.02)
    # The step between the two checkpoints at the cut is left out, wear and all.
    assert distances(setting)[-1].value == pytest.approx(0.003 * (1 - 1 / 6), rel=0.02)
    counted, left_out = shift_forecast(cycle, 0.006), shift_forecast(setting, 0.006)
    # 0.006 on the way that goes straight on: at 6000 h where 0.001 is given, at 7200 h where it is not.
    assert 3600 < counted.low_h < 6000 < counted.high_h
    assert left_out.low_h < 7200
    assert "no further compensation cycle or setting cuts in" in counted.sentence


@pytest.mark.parametrize(
    ("points", "shift", "said", "words"),
    [
        (whites(0.003), 0.002, "reached", "has shifted by 0.002"),
        (whites(0.003)[:3], 0.004, "refused", "4 checkpoints are needed"),
        ([], 0.004, "refused", "4 checkpoints are needed"),
        (whites(0.003, u=0.0), 0.004, "refused", "no uncertainty"),
        (whites(0.0005), 0.004, "bound", "no more can be said"),
    ],
    ids=["reached", "few", "none", "no uncertainty", "weak"],
)
def test_what_cannot_be_foretold_is_said_with_its_reason(points, shift, said, words):
    found = shift_forecast(points, shift)
    assert found.said == said
    assert words in found.sentence
