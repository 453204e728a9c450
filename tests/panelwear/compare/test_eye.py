"""Matches of the eye beside the instrument's contrasts."""

from dataclasses import replace

import pytest

from panelwear.compare.eye import Contrast, eye_checks
from panelwear.uncertainty.estimate import Estimate
from tests.panelwear.compare.test_zones import match


def contrast(level, cd_m2, percent, u=0.1, dof=float("inf")):
    return Contrast("grey", level, cd_m2, Estimate("c", percent, "%", u, dof))


def test_levels_are_matched_by_luminance_not_by_the_number_in_their_names():
    # The match: code 128, 66 cd/m². Y100 is nearest in number, c192 in code; Y60 is nearest in light.
    listed = (contrast("Y100", 100.0, -9.0), contrast("Y60", 60.0, -1.3), contrast("c192", 160.0, -5.0))
    (check,) = eye_checks("list", (match(-1.2),), listed)
    assert (check.instrument_level, check.instrument_cd_m2) == ("Y60", 60.0)
    assert check.agrees
    # A code of the same name at other light is not the same level: the panel had another setting.
    (check,) = eye_checks("list", (match(-1.2),), (contrast("c128", 20.0, -4.0), contrast("c200", 70.0, -1.2)))
    assert check.instrument_level == "c200"


def test_both_intervals_are_at_95_percent_with_their_degrees_of_freedom():
    few = replace(match(-1.2, u=0.2), dof=6)
    (check,) = eye_checks("list", (few,), (contrast("Y60", 60.0, -1.3, 0.1, 9.0),))
    # t for 95 %: 2.447 with 6, 2.262 with 9 degrees of freedom (NIST/SEMATECH e-Handbook, 1.3.6.7.2).
    assert check.half_eye == pytest.approx(2.447 * 0.2, rel=1e-3)
    assert check.half_instrument == pytest.approx(2.262 * 0.1, rel=1e-3)
    assert "by eye −1.20 ± 0.49 % (adjustment, grey 128, 66 cd/m²)" in check.sentence
    assert "by instrument −1.30 ± 0.23 % (Y60, 60 cd/m²)" in check.sentence


def test_a_level_far_away_is_said_where_the_two_disagree():
    (check,) = eye_checks("list", (match(-1.2),), (contrast("c32", 3.0, -6.0),))
    assert check.sentence.endswith("and the levels lie far apart")
    (check,) = eye_checks("list", (match(-1.2),), (contrast("Y60", 60.0, -6.0),))
    assert not check.sentence.endswith("far apart")
