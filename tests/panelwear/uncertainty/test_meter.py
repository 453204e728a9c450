"""What probe.toml says of the probe."""

import pytest

from panelwear.errors import FileFault
from panelwear.uncertainty.meter import MeterTerms, from_mapping


def test_an_empty_table_gives_the_defaults_and_numbers_are_taken_over():
    assert from_mapping({}) == MeterTerms()
    assert from_mapping({"session_scale": 0.01, "placement": 0}) == MeterTerms(session_scale=0.01, placement=0.0)


def test_every_fault_is_told_at_once_with_the_nearest_key():
    wrong = {"sesion_scale": 0.01, "placement": -1, "linearity_per_decade": "x", "dark_noise_cd_m2": float("nan")}
    with pytest.raises(FileFault) as fault:
        from_mapping(wrong)
    told = str(fault.value)
    assert len(fault.value.problems) == 4
    assert "did you mean 'session_scale'?" in told
    assert "placement is -1; it must be a number from 0 to 0.5" in told
    assert "linearity_per_decade is 'x'" in told
    assert "dark_noise_cd_m2 is nan" in told


def test_a_switch_is_no_number():
    with pytest.raises(FileFault, match="placement is True"):
        from_mapping({"placement": True})


def test_the_floor_falls_with_the_root_of_the_readings_but_not_below_the_doubt_of_the_zero():
    meter = MeterTerms(dark_noise_cd_m2=0.003)
    assert meter.floor_cd_m2(1) == pytest.approx(0.0099)
    assert meter.floor_cd_m2(9) == pytest.approx(0.0033)
    assert MeterTerms(dark_noise_cd_m2=0.003, zero_cd_m2=0.01).floor_cd_m2(10**9) == pytest.approx(0.033)
