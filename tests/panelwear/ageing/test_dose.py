"""The law that puts hours of light on one scale."""

from __future__ import annotations

import numpy as np
import pytest

from panelwear.ageing.dose import EXPONENTS, dose_rate, effective_hours
from sequences.estimate import DOSE_EXPONENT


def test_the_middle_exponent_is_the_one_sequences_are_weighed_with() -> None:
    assert EXPONENTS == (1.4, DOSE_EXPONENT, 2.0)


@pytest.mark.parametrize(("exponent", "weight"), [(1.0, 0.2195), (1.7, 0.0759), (2.0, 0.0482)])
def test_the_weight_of_a_middle_grey(exponent: float, weight: float) -> None:
    # Worked by hand from the law: (128/255)^(2.2 n) = exp(-0.68924 x 2.2 n).
    level = (128 / 255) ** 2.2
    assert float(dose_rate(level, exponent)) == pytest.approx(weight, abs=5e-5)


@pytest.mark.parametrize(
    ("minutes", "cd_m2", "of_cd_m2", "hours"),
    [(10, 1000.0, 150.0, 4.19), (30, 250.0, 120.0, 1.74)],
)
def test_a_bright_patch_in_hours_of_use(minutes: float, cd_m2: float, of_cd_m2: float, hours: float) -> None:
    # Worked by hand: (10/60)(1000/150)^1.7 = 4.19 h; (30/60)(250/120)^1.7 = 1.74 h, told as 1.7.
    (found,) = effective_hours([minutes / 60], [float(dose_rate(cd_m2 / of_cd_m2))])
    assert found == pytest.approx(hours, abs=0.005)


@pytest.mark.parametrize(("exponent", "gain"), [(1.5, 2.83), (1.7, 3.25), (2.0, 4.0)])
def test_half_the_light_costs_the_power_of_two_less(exponent: float, gain: float) -> None:
    assert 1 / float(dose_rate(0.5, exponent)) == pytest.approx(gain, abs=0.005)  # 2^n


def test_stretches_add_up() -> None:
    # Shape invariance under a change of drive (Ishii and Taga 2002): what came before counts as time.
    assert effective_hours([100, 50, 10], [1.0, 2.0, 0.0]) == (100.0, 200.0, 200.0)


def test_levels_are_taken_as_arrays_and_darkness_costs_nothing() -> None:
    assert np.asarray(dose_rate([0.0, 1.0])).tolist() == [0.0, 1.0]
    with pytest.raises(ValueError, match="no light"):
        dose_rate(-0.1)
    with pytest.raises(ValueError, match="no exponent"):
        dose_rate(0.5, 0.0)
