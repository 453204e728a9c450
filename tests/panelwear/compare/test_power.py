"""A small share of the power table, with fixed seeds; ``benchmarks/comparison_power.py`` has all of it."""

import numpy as np
import pytest

from benchmarks.comparison_power import Altered, binomial_interval, gain_of, needed, plan_for, run, shift_by
from panelwear.colorimetry.cct import cct_duv
from panelwear.simulation.model import drawn_panel
from panelwear.simulation.panel import SimulatedPanel

PAIRS = 40


@pytest.fixture(scope="module")
def plan():
    return plan_for()


@pytest.mark.slow
def test_unchanged_panels_are_left_alone(plan):
    false, _ = run("unchanged", PAIRS, 1, plan)
    assert false / PAIRS <= 0.065


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["zone 1 %", "channel 3 %", "white 100 K"])
def test_what_matters_is_found(plan, kind):
    found, _ = run(kind, PAIRS, 1, plan)
    assert found / PAIRS >= 0.9


def test_the_shift_put_in_is_a_hundred_kelvin_at_equal_luminance_and_duv():
    state = SimulatedPanel(drawn_panel(4)).at(hours=1000.0)
    factors = np.ones(4)
    factors[:3] = shift_by(state, 100.0)
    later = Altered(state, lambda x, _: np.broadcast_to(factors, (len(x), 4)))
    picture = np.zeros((72, 128, 3), dtype=np.uint8)
    picture[28:44, 50:78] = 255
    then, now = (np.array(s.light(picture, (64.0, 36.0))) for s in (state, later))
    (cct0, duv0), (cct1, duv1) = cct_duv(then), cct_duv(now)
    assert cct1 - cct0 == pytest.approx(100.0, abs=1.5)
    assert duv1 == pytest.approx(duv0, abs=2e-5)
    assert now[1] == pytest.approx(then[1], rel=1e-3)


def test_the_zone_put_in_stands_in_one_zone_only():
    state = SimulatedPanel(drawn_panel(4)).at(hours=1000.0)
    gain, figure = gain_of("zone 1 %", state, np.random.default_rng(1))
    x, y = np.array([0.1, 0.92, 0.84, 0.5]), np.array([0.5, 0.07, 0.79, 0.5])
    changed = np.flatnonzero(np.abs(gain(x, y)[:, 0] - 1) > 0.009)
    assert len(changed) == 1
    assert figure == ("zone/vessel-list", "zone/clock-badge", "zone/quay-camera")[changed[0]]


def test_what_an_absolute_loss_needs_follows_from_the_normal_law():
    # (2.807 + 1.282) u = 3 %: u = 0.734 %; 2.807 is the normal quantile of 1 - 0.05 / 20.
    assert "u(change) <= 0.73 %" in needed(0.03)[0]


def test_wilsons_interval_of_a_share():
    # The score interval of Wilson 1927, worked by hand for 4 of 20 at 95 %: 0.248 ± 0.168.
    assert binomial_interval(4, 20) == pytest.approx((0.0807, 0.4160), abs=5e-4)
