"""Correlated colour temperature against CIE illuminants, the Planckian locus and McCamy's formula."""

import math
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmarks.planckian_locus import locus_of_the_library
from benchmarks.support.colour_library import colour_science, uv_1960_at
from panelwear.colorimetry import cct
from panelwear.colorimetry.basic import XYZ_of_xyY
from panelwear.colorimetry.cct import (
    CCT_LIMITS_K,
    DUV_LIMIT,
    LOCUS,
    cct_duv,
    cct_duv_of_uv,
    cct_duv_one,
    uv_1960_of,
)
from tests.references import value, values


def of_xy(xy):
    return cct_duv([XYZ_of_xyY(*xy, 100.0)])[0]


@pytest.mark.parametrize("record", [r for r in values("CCT-") if "xy" in r["inputs"]], ids=lambda r: r["id"])
def test_colour_temperature_of_illuminants_meets_ohno_2013(record):
    assert of_xy(record["inputs"]["xy"])[0] == pytest.approx(record["expected"], abs=record["tolerance"])


@pytest.mark.parametrize("record", values("DUV-"), ids=lambda r: r["id"])
def test_distance_from_the_locus_of_illuminants_meets_ohno_2013(record):
    assert of_xy(record["inputs"]["xy"])[1] == pytest.approx(record["expected"], abs=record["tolerance"])


def test_the_one_percent_table_of_ohno_2013_worked_by_hand_agrees():
    record = value("OHNO-1PCT")
    assert of_xy(record["inputs"]["xy"])[0] == pytest.approx(record["expected"], abs=record["tolerance"])


def test_colour_temperature_and_distance_of_one_point_of_the_1960_diagram():
    record = value("CCT-DOC")
    cct_K, duv = cct_duv_of_uv([record["inputs"]["uv"]])[0]
    assert cct_K == pytest.approx(record["expected"]["CCT"], abs=record["tolerance"])
    assert duv == pytest.approx(record["expected"]["Duv"], abs=1e-5)


@pytest.mark.parametrize("record", values("PLANCK-"), ids=lambda r: r["id"])
def test_points_of_the_planckian_locus_come_back(record):
    # Planck's law with c2 = 1.4388e-2 m K and the CIE 1931 observer.
    cct_K, duv = of_xy(record["expected"])
    assert cct_K == pytest.approx(record["inputs"]["T"], abs=1.0)
    assert duv == pytest.approx(0.0, abs=1e-5)


@pytest.mark.parametrize("record", values("CCTINV-"), ids=lambda r: r["id"])
def test_forward_and_inverse_agree_off_the_locus(record):
    inputs = record["inputs"]
    u, v = uv_1960_at(inputs["CCT"], inputs["Duv"])[0]
    xy = [3 * u / (2 * u - 8 * v + 4), 2 * v / (2 * u - 8 * v + 4)]
    assert xy == pytest.approx(record["expected"], abs=record["tolerance"])
    assert of_xy(xy) == pytest.approx([inputs["CCT"], inputs["Duv"]], abs=1.0)


def test_the_stored_locus_is_the_one_of_colour_science():
    assert np.load(files("panelwear.colorimetry").joinpath(LOCUS)) == pytest.approx(locus_of_the_library(), abs=1e-12)


@given(st.floats(1100, 60000), st.floats(-0.045, 0.045))
def test_temperature_and_distance_are_those_of_colour_science_everywhere(cct_K, duv):
    uv = uv_1960_at(cct_K, duv)[0]
    theirs = colour_science().temperature.uv_to_CCT_Ohno2013(uv)
    ours = cct_duv_of_uv(uv)
    if np.isfinite(ours).all():
        assert ours == pytest.approx(theirs, rel=1e-9, abs=1e-9)
    else:
        assert abs(theirs[1]) > DUV_LIMIT or not CCT_LIMITS_K[0] < theirs[0] < CCT_LIMITS_K[1]


def test_mccamys_formula_agrees_within_two_kelvin_at_d65():
    record = value("MCCAMY-D65")
    x, y = record["inputs"]["xy"]
    n = (x - 0.3320) / (0.1858 - y)  # McCamy 1992
    mccamy_K = 449 * n**3 + 3525 * n**2 + 6823.3 * n + 5520.33
    assert mccamy_K == pytest.approx(record["expected"], abs=record["tolerance"])
    assert of_xy((x, y))[0] == pytest.approx(mccamy_K, abs=2.0)


def test_black_a_dim_reading_a_primary_and_a_missing_reading_have_no_colour_temperature():
    primaries = [[60.0, 180.0, 20.0], [127.5, 60.0, 1.0], [50.0, 20.0, 263.0]]
    rows = [[0, 0, 0], [0.095, 0.1, 0.109], *primaries, [np.nan, 100.0, np.nan], [95, 100, 109]]
    found = cct_duv(rows, floor_cd_m2=0.5)
    assert np.isnan(found[:-1]).all()
    assert found[-1, 0] == pytest.approx(6504, abs=15)


def test_one_row_agrees_with_the_batch_and_black_gives_none():
    assert cct_duv_one(0.0, 0.0, 0.0) is None
    cct_K, duv = cct_duv_one(95.0, 100.0, 109.0)
    assert [cct_K, duv] == list(cct_duv([[95.0, 100.0, 109.0]])[0])


def test_chromaticity_of_black_is_missing_in_the_1960_diagram():
    assert np.isnan(uv_1960_of([0, 0, 0])).all()


def test_bringing_colour_science_in_changes_neither_printing_nor_the_plotting_library():
    before = str(np.array([1.5, 2.0]))
    colour_science()
    import matplotlib

    assert str(np.array([1.5, 2.0])) == before
    assert isinstance(matplotlib.__version__, str)
    assert math.isfinite(float(matplotlib.rcParams["figure.dpi"]))


def test_the_nearest_point_of_the_locus_is_that_of_a_search_of_all_of_it(monkeypatch):
    u, v = np.meshgrid(np.linspace(0.1, 0.65, 60), np.linspace(0.15, 0.45, 50))
    points = np.column_stack([u.ravel(), v.ravel()]) + np.random.default_rng(1).uniform(-5e-3, 5e-3, (u.size, 2))
    quick = cct_duv_of_uv(points)
    monkeypatch.setattr(
        cct, "_nearest", lambda points, locus: np.array([cct._away(p[None], locus).argmin() for p in points])
    )
    assert np.isfinite(quick).all(axis=1).sum() > 400
    np.testing.assert_array_equal(quick, cct_duv_of_uv(points))
