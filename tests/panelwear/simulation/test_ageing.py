"""Wear of the simulated panel against published decay formulas and worked numbers."""

from __future__ import annotations

import math

import numpy as np
import pytest

from panelwear.simulation.ageing import NO_AGEING, Ageing, Compensation, retention
from panelwear.simulation.emission import Spot, code_response, emission_of
from panelwear.simulation.model import PanelModel
from panelwear.simulation.usage import Content
from tests.references import value

CENTRE = (np.array([0.5]), np.array([0.5]))


def even_use(drive_cd_m2: float) -> tuple[Content, ...]:
    return (Content("all", (0.0, 0.0, 1.0, 1.0), (drive_cd_m2,) * 3),)


@pytest.mark.parametrize("loss", ["97", "95", "90", "70", "50"])
def test_stretched_exponential_reaches_published_lifetimes(loss: str) -> None:
    record = value(f"LT-{loss}")
    left = retention(record["expected"], record["inputs"]["tau_h"], record["inputs"]["beta"])
    assert float(left) == pytest.approx(int(loss) / 100, abs=1e-9)


def test_remaining_luminance_after_a_year_matches_the_reference() -> None:
    record = value("LT-REM")
    inputs = record["inputs"]
    left = retention(inputs["t_h"], inputs["tau_h"], inputs["beta"])
    assert float(left) == pytest.approx(record["expected"], abs=record["tolerance"])


def test_stretched_exponential_worked_number() -> None:
    # exp(-0.36^0.75) = 0.6283: arithmetic on Fery et al., Appl. Phys. Lett. 87 (2005) 213502.
    assert float(retention(3600.0, 10_000.0, 0.75)) == pytest.approx(0.6283, abs=5e-5)


def test_dose_of_mid_grey_follows_the_level_to_the_power() -> None:
    # Code 128 at gamma 2.2, n = 1.7: weight (128/255)^3.74 = 0.0759 (inverse power law; arithmetic).
    drive = 120.0 * float(code_response(2.2)[128])
    rate = Ageing(exponent=1.7).dose_rate(*CENTRE, even_use(drive))
    assert rate[0, :3] == pytest.approx(0.0759, abs=5e-5)


def test_an_hour_of_reference_white_is_an_hour_of_dose() -> None:
    assert Ageing().dose_rate(*CENTRE, even_use(120.0))[0] == pytest.approx(1.0)


def test_a_later_zone_lies_over_an_earlier_one() -> None:
    usage = (*even_use(120.0), Content("badge", (0.4, 0.4, 0.6, 0.6), (0.0, 0.0, 0.0)))
    rate = Ageing().dose_rate(np.array([0.5, 0.1]), np.array([0.5, 0.1]), usage)
    assert rate[0, :3] == pytest.approx(0.0)
    assert rate[1, :3] == pytest.approx(1.0)


def test_zone_edges_are_as_wide_as_the_smear() -> None:
    usage = (*even_use(0.0), Content("list", (0.0, 0.0, 0.2, 1.0), (120.0,) * 3))
    wear = Ageing(smear=0.01)
    rate = wear.dose_rate(np.array([0.194, 0.2, 0.206]), np.full(3, 0.5), usage)[:, 0]
    assert rate == pytest.approx([1.0, 0.5, 0.0])


def test_no_ageing_leaves_everything() -> None:
    rate = NO_AGEING.dose_rate(*CENTRE)
    assert NO_AGEING.emitters(rate, 4400.0) == pytest.approx(1.0, abs=1e-6)
    assert NO_AGEING.backplane(rate, 4400.0) == pytest.approx(0.0)


def test_full_compensation_brings_the_light_back_and_wear_goes_on() -> None:
    wear, rate = Ageing(), np.full((1, 4), 2.0)
    cycle = Compensation(at_h=2000.0, emitter_share=1.0, backplane_share=1.0)
    assert wear.emitters(rate, 2000.0, [cycle]) == pytest.approx(1.0)
    assert wear.backplane(rate, 2000.0, [cycle]) == pytest.approx(0.0)
    later = wear.emitters(rate, 3000.0, [cycle])
    assert (later < 1.0).all()
    assert later == pytest.approx(wear.emitters(rate, 3000.0) / wear.emitters(rate, 2000.0))


def test_a_cycle_in_the_future_changes_nothing() -> None:
    wear, rate = Ageing(), np.full((1, 4), 2.0)
    assert np.array_equal(wear.emitters(rate, 1000.0, [Compensation(2000.0)]), wear.emitters(rate, 1000.0))


def test_overcompensation_makes_the_worn_zone_brighter_than_new() -> None:
    wear, rate = Ageing(), np.full((1, 4), 2.0)
    assert (wear.emitters(rate, 2000.0, [Compensation(2000.0, emitter_share=1.3)]) > 1.0).all()


def test_backplane_shift_of_one_per_cent_is_ten_per_cent_at_a_hundredth_of_the_light() -> None:
    # Threshold shift in a square-law pixel, contrast ~ L^(-1/2): -1 % at L is -10 % at L/100 (derived).
    emission = emission_of(PanelModel(black_cd_m2=0.0))
    new, worn = Spot(np.ones((1, 4)), np.zeros((1, 4))), Spot(np.ones((1, 4)), np.full((1, 4), -0.01))
    for drive, expected in ((1.0, -0.01), (0.01, -0.10)):
        grey = np.full((1, 3), drive)
        contrast = emission.light(grey, worn)[0, 1] / emission.light(grey, new)[0, 1] - 1
        assert contrast == pytest.approx(expected, abs=1e-12)


def test_backplane_shift_never_makes_negative_light() -> None:
    emission = emission_of(PanelModel())
    worn = Spot(np.ones((1, 4)), np.full((1, 4), -0.5))
    assert emission.light(np.full((1, 3), 0.001), worn) == pytest.approx(0.0)


def test_blue_shape_lies_in_the_published_range() -> None:
    # b of blue devices between 0.5 and 0.9 (LT90/LT50 pairs of Nat. Commun. s41467-023-43840-9, table 3).
    assert all(0.5 <= b <= 0.9 for b in Ageing().b)
    assert Ageing().b[2] == min(Ageing().b)
    assert math.isclose(Ageing().exponent, 1.7)
