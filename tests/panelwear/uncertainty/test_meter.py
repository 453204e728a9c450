"""What probe.toml says of the probe."""

import pytest

from panelwear.errors import FileFault
from panelwear.folder.panel import parse_probe
from panelwear.uncertainty.meter import MeterTerms


def terms(**table):
    return parse_probe({"uncertainty": table}).uncertainty


def test_an_empty_table_gives_the_defaults_and_numbers_are_taken_over():
    assert terms() == MeterTerms()
    assert terms(session_scale=0.01, placement=0) == MeterTerms(session_scale=0.01, placement=0.0)


def test_every_fault_is_told_at_once_with_the_nearest_key():
    with pytest.raises(FileFault) as fault:
        terms(sesion_scale=0.01, placement=-1, linearity_per_decade="x", dark_noise_cd_m2=float("nan"))
    assert fault.value.problems == (
        "probe.toml: uncertainty.sesion_scale: unknown key; did you mean 'session_scale'?",
        "probe.toml: uncertainty.linearity_per_decade: expected a number (0 to 0.5), got 'x'",
        "probe.toml: uncertainty.placement: -1 is out of range; allowed: 0 to 0.5",
        "probe.toml: uncertainty.dark_noise_cd_m2: nan is no number; expected a number (0 to 10 cd/m²)",
    )


def test_a_switch_is_no_number():
    with pytest.raises(FileFault, match=r"uncertainty\.placement: expected a number .*, got true"):
        terms(placement=True)


def test_the_floor_falls_with_the_root_of_the_readings_but_not_below_the_doubt_of_the_zero():
    meter = MeterTerms(dark_noise_cd_m2=0.003)
    assert meter.floor_cd_m2(1) == pytest.approx(0.0099)
    assert meter.floor_cd_m2(9) == pytest.approx(0.0033)
    assert MeterTerms(dark_noise_cd_m2=0.003, zero_cd_m2=0.01).floor_cd_m2(10**9) == pytest.approx(0.033)
