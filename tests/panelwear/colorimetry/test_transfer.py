"""Transfer functions against the numbers of their standards."""

import numpy as np
import pytest

from panelwear.colorimetry import transfer
from tests.references import value, values


@pytest.mark.parametrize("record", [r for r in values("SRGB-") if "V" in r["inputs"]], ids=lambda r: r["id"])
def test_srgb_light_meets_iec_61966_2_1(record):
    assert transfer.srgb_light(record["inputs"]["V"]) == pytest.approx(record["expected"], abs=record["tolerance"])


@pytest.mark.parametrize("record", [r for r in values("BT1886-") if "V" in r["inputs"]], ids=lambda r: r["id"])
def test_bt1886_luminance_meets_the_recommendation(record):
    i = record["inputs"]
    found = transfer.bt1886_luminance(i["V"], i["Lw"], i["Lb"])
    assert found == pytest.approx(record["expected"], abs=record["tolerance"])


def test_pq_constants_are_the_exact_fractions_of_st_2084():
    constants = [transfer.PQ_M1, transfer.PQ_M2, transfer.PQ_C1, transfer.PQ_C2, transfer.PQ_C3]
    assert constants == value("PQ-CONST")["expected"]


@pytest.mark.parametrize("record", values("PQ-L"), ids=lambda r: r["id"])
def test_pq_signal_meets_st_2084(record):
    assert transfer.pq_signal(record["inputs"]["L"]) == pytest.approx(record["expected"], abs=record["tolerance"])


def test_a_power_law_runs_from_black_to_peak_and_one_code_near_mid_grey_is_a_1_7_percent_step():
    ends = transfer.power_luminance([0.0, 1.0], 250.0, 0.1, 2.2)
    assert list(ends) == pytest.approx([0.1, 250.0])
    record = value("BAND-8BIT")
    low, high = transfer.power_luminance(np.array([128, 129]) / 255, 1.0, 0.0, 2.2)
    assert high / low - 1 == pytest.approx(record["expected"], abs=record["tolerance"])
