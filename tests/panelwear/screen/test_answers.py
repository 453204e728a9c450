"""Whether an answer is one a question takes: numbers within limits, choices by value, name, number and beginning."""

from __future__ import annotations

import pytest

from panelwear.screen.answers import check_answer, number_check
from panelwear.screen.operator import Question

HOURS = number_check(0, 999_999, "h")
MONITOR = Question("screen", "", "0", ("0", "1"), names=("0: DP-1, 3840 x 2160", "1: HDMI-1, 1920 x 1080"))


@pytest.mark.parametrize(
    ("typed", "kept"),
    [("", ""), ("1460", "1460"), ("1460,5", "1460.5"), ("123456.75 h", "123456.75"), ("1e3", "1000"), (" 7h", "7")],
)
def test_a_number_is_kept_whole_with_a_point(typed: str, kept: str) -> None:
    assert HOURS(typed) == kept


@pytest.mark.parametrize(
    ("typed", "fault"),
    [
        ("x", "'x' is not a number; type a number of h"),
        ("-1", "-1 h is outside 0..999999 h"),
        ("nan", "nan h is outside 0..999999 h"),
        ("inf", "inf h is outside 0..999999 h"),
    ],
)
def test_what_is_no_number_or_outside_its_limits_is_said_with_the_unit(typed: str, fault: str) -> None:
    with pytest.raises(ValueError, match=r"number|outside") as caught:
        HOURS(typed)
    assert str(caught.value) == fault


def test_a_count_is_a_whole_number_without_a_unit() -> None:
    count = number_check(0, 1e6, whole=True)
    assert count("12,0") == "12"
    for typed, fault in (("1.5", "'1.5' is not a whole number"), ("2e6", "2e+06 is outside 0..1e+06")):
        with pytest.raises(ValueError, match=r"outside|whole") as caught:
            count(typed)
        assert str(caught.value) == fault


@pytest.mark.parametrize(("typed", "choice"), [("0", "0"), ("1", "1"), ("1: H", "1"), ("2", "1")])
def test_a_choice_is_given_by_its_value_the_beginning_of_its_name_or_its_number(typed: str, choice: str) -> None:
    assert check_answer(MONITOR, typed) == choice


def test_what_is_no_choice_is_told_with_the_names_there_are() -> None:
    with pytest.raises(ValueError, match=r"'x' is none of: 0: DP-1, 3840 x 2160, 1: HDMI-1, 1920 x 1080"):
        check_answer(MONITOR, "x")
