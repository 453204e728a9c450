"""The correction matrix against the worked cases of the four-colour method and ASTM E1455."""

import tomllib

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwear.colorimetry import correction
from panelwear.errors import FileFault, UsageError
from tests.references import value

INPUTS = value("FCMM-R")["inputs"]
METER = np.vstack([np.array(INPUTS["meter_RGB_XYZ_columns"]).T, INPUTS["meter_W"]])
REFERENCE = np.vstack([np.array(INPUTS["ref_RGB_XYZ_columns"]).T, INPUTS["ref_W"]])


def made():
    matrix = correction.four_colour(METER, REFERENCE)
    left = correction.residuals_of(matrix, METER, REFERENCE, ["red", "green", "blue", "white"])
    return correction.Correction(matrix, "four-colour", "harbour-desk", "2026-02-03", 'borrowed "reference"', left)


def test_the_four_colour_matrix_meets_its_worked_case():
    record = value("FCMM-R")
    assert correction.four_colour(METER, REFERENCE) == pytest.approx(
        np.array(record["expected"]), abs=record["tolerance"]
    )


def test_a_reading_is_corrected_as_in_the_worked_case():
    record = value("FCMM-TEST")
    found = correction.applied(correction.four_colour(METER, REFERENCE), record["inputs"]["meter_XYZ"])
    assert found == pytest.approx(record["expected"], abs=record["tolerance"])


def test_a_luminance_error_on_one_primary_does_not_move_the_four_colour_matrix():
    record = value("FCMM-INV")
    wrong = METER * np.array([1, record["inputs"]["scale_G"], 1, 1])[:, None]
    moved = correction.four_colour(wrong, REFERENCE) - correction.four_colour(METER, REFERENCE)
    assert np.abs(moved).max() < record["tolerance"]


def test_the_least_squares_matrix_meets_its_worked_case_and_does_move_with_a_luminance_error():
    record = value("E1455-R")
    found = correction.least_squares(METER[:3], REFERENCE[:3])
    assert found == pytest.approx(np.array(record["expected"]), abs=record["tolerance"])
    wrong = METER[:3] * np.array([1, 1.02, 1])[:, None]
    assert np.abs(correction.least_squares(wrong, REFERENCE[:3]) - found).max() > 0.01


@given(st.lists(st.floats(-0.05, 0.05), min_size=9, max_size=9))
def test_both_methods_find_a_matrix_that_is_there(parts):
    true = np.eye(3) + np.array(parts).reshape(3, 3)
    # White as the exact sum of the primaries: both methods presuppose additivity.
    meter = np.vstack([METER[:3], METER[:3].sum(axis=0)])
    reference = correction.applied(true, meter)
    assert correction.four_colour(meter, reference) == pytest.approx(true, abs=1e-9)
    assert correction.least_squares(meter, reference) == pytest.approx(true, abs=1e-9)


def test_colours_on_a_line_are_refused():
    twice = METER[[0, 0, 2, 3]]
    with pytest.raises(UsageError, match="almost on one line"):
        correction.four_colour(twice, REFERENCE)
    with pytest.raises(UsageError, match="almost on one line"):
        correction.least_squares(METER[[0, 0, 2]], REFERENCE[:3])


@pytest.mark.parametrize(
    "rows", [METER[:3], np.full((4, 3), np.nan), np.zeros((4, 3)), np.ones((4, 2))], ids=["three", "nan", "dark", "xy"]
)
def test_readings_that_cannot_be_used_are_refused(rows):
    with pytest.raises(UsageError):
        correction.four_colour(rows, REFERENCE)


def test_residuals_of_the_colours_it_was_made_from_are_small():
    for left in made().residuals:
        assert left.duv_prime < 1e-4
        assert abs(left.luminance_percent) < 0.01


def test_the_file_gives_the_matrix_back_to_the_last_digit():
    before = made()
    after = correction.parse_correction(tomllib.loads(correction.correction_text(before)))
    assert (after.matrix == before.matrix).all()
    assert after.digest() == before.digest()
    assert (after.panel, after.date, after.reference) == (before.panel, before.date, before.reference)
    assert [r.colour for r in after.residuals] == ["red", "green", "blue", "white"]
    assert correction.looks_like(tomllib.loads(correction.correction_text(before)))


def test_a_file_with_faults_tells_all_of_them():
    with pytest.raises(FileFault) as fault:
        correction.parse_correction({"matrix": [[1, 0], [0, 1]], "method": "four-colour", "residuals": [{}]})
    assert len(fault.value.problems) == 7


def test_a_matrix_of_numbers_that_are_too_large_is_a_fault():
    with pytest.raises(FileFault, match="three rows of three numbers"):
        correction.parse_correction(tomllib.loads(correction.correction_text(made())) | {"matrix": [[10**400] * 3] * 3})


def test_an_edited_matrix_and_a_singular_one_are_noticed():
    text = correction.correction_text(made())
    first = repr(float(made().matrix[0, 0]))
    with pytest.raises(FileFault, match="edited or damaged"):
        correction.parse_correction(tomllib.loads(text.replace(first, "0.99", 1)))
    data = tomllib.loads(text) | {"matrix": [[1, 1, 1]] * 3}
    with pytest.raises(FileFault, match="near-singular"):
        correction.parse_correction(data)
