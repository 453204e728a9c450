"""The Grayscale Standard Display Function against DICOM PS3.14 and AAPM TG18."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwear.colorimetry import gsdf
from tests.references import value, values


@pytest.mark.parametrize("record", values("GSDF-L"), ids=lambda r: r["id"])
def test_luminance_of_an_index_meets_ps3_14(record):
    found = gsdf.luminance_of(record["inputs"]["j"])
    # The table is rounded at the sixth decimal.
    assert found == pytest.approx(record["expected"], abs=record["tolerance"])


def test_the_example_range_of_ps3_14_d_1_2_comes_out():
    record = value("GSDF-D12")
    assert list(gsdf.luminance_of(record["inputs"]["j"])) == pytest.approx(record["expected"], abs=record["tolerance"])


@given(st.floats(1.0, 1023.0))
def test_the_index_comes_back_exactly_from_its_luminance(j):
    assert gsdf.index_of(gsdf.luminance_of(j)) == pytest.approx(j, abs=1e-7)


def test_luminances_out_of_range_are_clamped_and_missing_ones_stay_missing():
    found = gsdf.index_of([0.0, 1e5, np.nan])
    assert list(found[:2]) == pytest.approx([1.0, 1023.0], abs=1e-8)
    assert np.isnan(found[2])


@pytest.mark.parametrize("record", values("GSDF-W"), ids=lambda r: r["id"])
def test_one_just_noticeable_step_as_a_share_of_luminance(record):
    # The stored values come from PS3.14's own inverse, whose index is up to 0.05 off the root we find:
    # that moves the step by less than 0.03 % of itself.
    assert gsdf.jnd_weber(record["inputs"]["L"]) == pytest.approx(record["expected"], rel=1e-3)


def test_equal_steps_spend_the_same_number_of_jnd_and_black_is_clamped():
    levels = gsdf.jnd_levels(18, 0.0, 250.0)
    assert levels[0] == pytest.approx(0.05, rel=1e-9)
    assert levels[-1] == pytest.approx(250.0, rel=1e-9)
    steps = np.diff(gsdf.index_of(levels))
    assert np.ptp(steps) < 1e-6
