"""To which digit a meter rounds is learned, and stands in every figure."""

from dataclasses import replace

import numpy as np
import pytest

from panelwear.colorimetry.basic import XYZ_of_xyY
from panelwear.compare.change_table import change_table
from panelwear.figures.probe_spread import with_step
from panelwear.uncertainty.rounding import Rounding, rounding_of, steps_of
from tests.panelwear.compare.panels import NOTHING, SAME, pairing_of, read

RNG = np.random.default_rng(4)
LIGHT = np.exp(RNG.uniform(-1, 6, (40, 1))) * RNG.uniform(0.7, 1.3, (40, 3))


def to_digits(values, digits):
    step = 10.0 ** (np.floor(np.log10(np.abs(values))) - digits + 1)
    return np.round(values / step) * step


@pytest.mark.parametrize("digits", [2, 3, 4, 5])
def test_significant_digits_are_learned_for_each_quantity(digits):
    assert rounding_of(to_digits(LIGHT, digits)).digits == (digits,) * 3
    assert rounding_of(LIGHT) == Rounding()


def test_steps_of_chromaticity_are_learned_where_X_and_Z_are_made_of_it():
    x, y = np.round(RNG.uniform(0.25, 0.4, (2, 40)), 3)
    XYZ = np.array([XYZ_of_xyY(*one) for one in zip(x, y, LIGHT[:, 1], strict=True)])
    assert rounding_of(XYZ).xy_step == pytest.approx(0.001)
    assert rounding_of(XYZ).uv_step == 0
    u, v = np.round(RNG.uniform(0.15, 0.25, 40), 3), np.round(RNG.uniform(0.42, 0.5, 40), 3)
    D = 6 * u - 16 * v + 12
    XYZ = np.array([XYZ_of_xyY(*one) for one in zip(9 * u / D, 4 * v / D, LIGHT[:, 1], strict=True)])
    assert rounding_of(XYZ).uv_step == pytest.approx(0.001)
    assert rounding_of(XYZ).xy_step == 0


def test_dark_readings_in_a_finer_range_do_not_hide_the_steps_of_the_others():
    x, y = np.round(RNG.uniform(0.25, 0.4, (2, 40)), 3)
    lit = np.array([XYZ_of_xyY(*one) for one in zip(x, y, np.exp(RNG.uniform(0, 5, 40)), strict=True)])
    dark = RNG.uniform(0.001, 0.02, (6, 3))
    assert rounding_of(np.vstack([lit, dark])).xy_step == pytest.approx(0.001)


def test_the_last_digit_jumps_tenfold_at_powers_of_ten():
    meter = with_step(NOTHING, rounded(read(noise=0.001, dark_noise=0.003), 3))
    u = np.linalg.norm(steps_of(np.array([[99.0, 99.0, 99.0], [101.0, 101.0, 101.0]]), meter), axis=2)
    assert u[:, 1] == pytest.approx([0.1 / 12**0.5, 1 / 12**0.5])


def rounded(table, digits):
    X, Y, Z = to_digits(table.XYZ, digits).T
    return replace(table, X=X, Y=Y, Z=Z)


def test_a_meter_of_three_digits_sees_no_change_in_unchanged_panels():
    false, rng = 0, np.random.default_rng(11)
    for pair in range(40):
        tables = []
        for side in (0, 1):
            scale = 1 + 0.003 * rng.standard_normal()
            made = read(seed=2 * pair + side, noise=0.0003, dark_noise=0.003, scale=scale)
            tables.append(rounded(made, 3))
        meter = replace(with_step(NOTHING, tables[0]), session_scale=0.003, dark_noise_cd_m2=0.003)
        false += any(row.judged.verdict == "changed" for row in change_table(pairing_of(*tables, meter), SAME))
    assert false <= 2


def test_of_numbers_no_meter_can_have_sent_nothing_is_learned_and_nothing_is_warned_of():
    edited = np.vstack([LIGHT, [[1e308, 1e308, 1e308]]])
    assert rounding_of(edited) == Rounding()
