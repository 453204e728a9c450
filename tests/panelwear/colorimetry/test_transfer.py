"""Transfer functions against the numbers of their standards."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwear.colorimetry import transfer
from tests.references import value, values

signals = st.floats(0.001, 1.0)


@pytest.mark.parametrize("record", [r for r in values("SRGB-") if "V" in r["inputs"]], ids=lambda r: r["id"])
def test_srgb_light_meets_iec_61966_2_1(record):
    assert transfer.srgb_light(record["inputs"]["V"]) == pytest.approx(record["expected"], abs=record["tolerance"])


def test_srgb_signal_of_18_percent_meets_iec_61966_2_1():
    record = value("SRGB-INV18")
    assert transfer.srgb_signal(record["inputs"]["L"]) == pytest.approx(record["expected"], abs=record["tolerance"])


@pytest.mark.parametrize("record", values("BT709-"), ids=lambda r: r["id"])
def test_bt709_signal_meets_the_recommendation(record):
    assert transfer.bt709_signal(record["inputs"]["L"]) == pytest.approx(record["expected"], abs=record["tolerance"])


def test_bt2020_signal_at_12_bits_meets_the_recommendation():
    record = value("BT2020-12")
    found = transfer.bt709_signal(record["inputs"]["L"], alpha=1.0993, beta=0.0181)
    assert found == pytest.approx(record["expected"], abs=record["tolerance"])


@pytest.mark.parametrize("record", [r for r in values("BT1886-") if "V" in r["inputs"]], ids=lambda r: r["id"])
def test_bt1886_luminance_meets_the_recommendation(record):
    i = record["inputs"]
    found = transfer.bt1886_luminance(i["V"], i["Lw"], i["Lb"])
    assert found == pytest.approx(record["expected"], abs=record["tolerance"])


def test_video_codes_map_to_signal_as_bt1886_says():
    record = value("BT1886-CODE")
    assert list(transfer.signal_of_video_code(record["inputs"]["D"])) == pytest.approx(record["expected"], abs=1e-12)


def test_pq_constants_are_the_exact_fractions_of_st_2084():
    constants = [transfer.PQ_M1, transfer.PQ_M2, transfer.PQ_C1, transfer.PQ_C2, transfer.PQ_C3]
    assert constants == value("PQ-CONST")["expected"]


@pytest.mark.parametrize("record", values("PQ-E"), ids=lambda r: r["id"])
def test_pq_luminance_meets_st_2084(record):
    found = transfer.pq_luminance(record["inputs"]["E'"])
    assert found == pytest.approx(record["expected"], abs=record["tolerance"])


@pytest.mark.parametrize("record", values("PQ-L"), ids=lambda r: r["id"])
def test_pq_signal_meets_st_2084(record):
    assert transfer.pq_signal(record["inputs"]["L"]) == pytest.approx(record["expected"], abs=record["tolerance"])


@pytest.mark.parametrize("record", [r for r in values("HLG-") if "E'" in r["inputs"]], ids=lambda r: r["id"])
def test_hlg_grey_luminance_meets_bt2100(record):
    found = transfer.hlg_grey_luminance(record["inputs"]["E'"], 1000.0)
    assert found == pytest.approx(record["expected"], abs=record["tolerance"])


def test_hlg_system_gamma_meets_bt2100():
    record = value("HLG-GAMMA")
    found = [transfer.hlg_system_gamma(peak) for peak in record["inputs"]["Lw"]]
    assert found == pytest.approx(record["expected"], abs=record["tolerance"])


@given(signals)
def test_every_function_and_its_inverse_give_the_signal_back(V):
    assert transfer.srgb_signal(transfer.srgb_light(V)) == pytest.approx(V, abs=1e-7)
    assert transfer.pq_signal(transfer.pq_luminance(V)) == pytest.approx(V, abs=1e-9)
    luminance = transfer.bt1886_luminance(V, 300.0, 0.05)
    assert transfer.bt1886_signal(luminance, 300.0, 0.05) == pytest.approx(V, abs=1e-9)


def test_a_power_law_runs_from_black_to_peak_and_one_code_near_mid_grey_is_a_1_7_percent_step():
    ends = transfer.power_luminance([0.0, 1.0], 250.0, 0.1, 2.2)
    assert list(ends) == pytest.approx([0.1, 250.0])
    record = value("BAND-8BIT")
    low, high = transfer.power_luminance(np.array([128, 129]) / 255, 1.0, 0.0, 2.2)
    assert high / low - 1 == pytest.approx(record["expected"], abs=record["tolerance"])
