"""Chromaticity and colour differences against CIE 15, Sharma 2005 and colour-science."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmarks.support.colour_library import colour_science
from panelwear.colorimetry.basic import (
    XYZ_of_xyY,
    delta_e_2000,
    delta_e_itp,
    distance_uv_prime,
    lab_of,
    uv_prime_of,
    uv_prime_of_xy,
    xy_of,
)
from panelwear.colorimetry.transfer import pq_signal
from tests.references import value, values

positive = st.floats(1e-3, 1e4)
labs = st.tuples(st.floats(0, 100), st.floats(-120, 120), st.floats(-120, 120))


@pytest.mark.parametrize("record", values("UCS-"), ids=lambda r: r["id"])
def test_u_prime_v_prime_meet_the_values_of_cie_15(record):
    found = uv_prime_of_xy(record["inputs"]["xy"])
    assert found == pytest.approx(record["expected"], abs=record["tolerance"])


def test_tristimulus_values_of_d65_meet_cie_15():
    record = value("XYZ-D65")
    found = XYZ_of_xyY(*record["inputs"]["xy"], record["inputs"]["Y"])
    assert found == pytest.approx(record["expected"], abs=record["tolerance"])


@given(positive, positive, positive)
def test_chromaticity_of_tristimulus_values_agrees_with_chromaticity_by_way_of_x_y(X, Y, Z):
    assert uv_prime_of([X, Y, Z]) == pytest.approx(uv_prime_of_xy(xy_of([X, Y, Z])), rel=1e-9)


@given(positive, positive, positive)
def test_tristimulus_values_come_back_from_x_y_and_luminance(X, Y, Z):
    x, y = xy_of([X, Y, Z])
    # (1 - x - y) loses digits where Z is a millionth of the rest.
    assert XYZ_of_xyY(x, y, Y) == pytest.approx([X, Y, Z], rel=1e-6, abs=1e-9 * max(X, Y, Z))


def test_black_and_missing_readings_have_no_chromaticity():
    rows = np.array([[0, 0, 0], [np.nan, 1.0, 1.0], [-1, -1, -1], [95, 100, 109]])
    assert np.isnan(xy_of(rows)[:3]).all()
    assert np.isnan(uv_prime_of(rows)[:3]).all()
    assert np.isfinite(uv_prime_of(rows)[3]).all()


@pytest.mark.parametrize("identifier", ["LAB-18", "LAB-LOW"])
def test_lightness_meets_iso_11664_4(identifier):
    record = value(identifier)
    white = np.array([95.047, 100.0, 108.883])
    found = lab_of(white * record["inputs"]["Y"], white)
    assert found[0] == pytest.approx(record["expected"], abs=record["tolerance"])
    assert found[1:] == pytest.approx([0, 0], abs=1e-9)


@pytest.mark.parametrize("record", values("DE00-"), ids=lambda r: r["id"])
def test_colour_difference_meets_the_34_pairs_of_sharma_2005(record):
    found = delta_e_2000(record["inputs"]["Lab1"], record["inputs"]["Lab2"])
    assert found == pytest.approx(record["expected"], abs=record["tolerance"])


@given(labs, labs)
def test_colour_difference_agrees_with_colour_science_for_all_colours(first, second):
    theirs = float(colour_science().difference.delta_E_CIE2000(np.array(first), np.array(second)))
    assert float(delta_e_2000(first, second)) == pytest.approx(theirs, rel=1e-9, abs=1e-9)


@given(st.tuples(positive, positive, positive), st.tuples(positive, positive, positive))
def test_itp_difference_agrees_with_colour_science_for_every_colour_inside_bt2020(first, second):
    colour = colour_science()
    d65 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
    a, b = (colour.RGB_COLOURSPACES["ITU-R BT.2020"].matrix_RGB_to_XYZ @ np.array(rgb) for rgb in (first, second))
    # BT.2124 on BT.2100's IC_TC_P, from absolute XYZ without chromatic adaptation (D65 to D65).
    ictcp = [colour.XYZ_to_ICtCp(v, illuminant=d65, method="ITU-R BT.2100-1 PQ") for v in (a, b)]
    expected = float(colour.difference.delta_E_ITP(*ictcp))
    assert float(delta_e_itp(a, b)) == pytest.approx(expected, rel=1e-5, abs=1e-3)


def test_itp_difference_of_two_greys_is_720_times_their_step_on_the_pq_curve():
    # BT.2124: 720 scales the distance; the I of a neutral is its own PQ signal (BT.2100).
    white = XYZ_of_xyY(0.3127, 0.3290, 100.0)
    step = pq_signal(101.0) - pq_signal(100.0)
    assert float(delta_e_itp(white, white * 1.01)) == pytest.approx(720 * float(step), rel=1e-3)


def test_distance_is_symmetric_and_zero_for_equal_points():
    a, b = np.array([0.1978, 0.4683]), np.array([0.199, 0.47])
    assert distance_uv_prime(a, b) == distance_uv_prime(b, a)
    assert distance_uv_prime(a, a) == 0
