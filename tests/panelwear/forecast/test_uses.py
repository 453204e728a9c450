"""Ways of using a panel: hours on the calendar, and what an hour wears."""

import math

import pytest

from panelwear.errors import UsageError
from panelwear.forecast.uses import of_bright_content, of_brightness, use_of


# 3600 h at each pace: 450, 630, 900 and 150 days (mean Gregorian month: 14.78, 20.70, 29.57, 4.93 months).
@pytest.mark.parametrize(
    ("said", "days"),
    [("8h/day", 450), ("8 h a day", 450), ("8h x 5d/week", 630), ("8h/day × 5 days a week", 630), ("4h/day", 900),
     ("4 hours per day", 900), ("24/7", 150), ("7,5h/day", 480)],
)  # fmt: skip
def test_hours_are_read_in_the_usual_ways(said, days):
    assert 3600 / use_of(said).pace(math.nan) == pytest.approx(days)


def test_a_share_of_ones_own_hours_needs_ones_own_pace():
    assert use_of("half my hours").pace(9.0) == pytest.approx(4.5)
    assert use_of("a third of my hours").pace(9.0) == pytest.approx(3.0)
    assert use_of("70 % of my hours").pace(10.0) == pytest.approx(7.0)
    assert math.isnan(use_of("half my hours").pace(math.nan))


def test_half_the_brightness_is_worth_what_the_exponent_says():
    # 2^n = 2.64 (1.4), 3.25 (1.7), 4 (2.0): the gain in life at half the drive.
    found = of_brightness(0.5)
    assert (1 / found.high, 1 / found.likely, 1 / found.low) == pytest.approx((2.639, 3.249, 4.0), abs=0.001)
    brighter = of_brightness(2.0)
    assert (brighter.low, brighter.likely, brighter.high) == pytest.approx((2.639, 3.249, 4.0), abs=0.001)


def test_half_the_bright_content_is_worth_half_or_a_little_less():
    # In the place of white stands black, or grey of code 128: (128 / 255)^(2.2 n) is 0.0759 for n 1.7, 0.048 for 2.
    found = of_bright_content(0.5)
    assert found.low == pytest.approx(0.5)
    assert found.likely == pytest.approx(0.5 + 0.5 * 0.0759, abs=0.0001)
    assert found.high == pytest.approx(0.5 + 0.5 * (128 / 255) ** (2.2 * 1.4))


def test_terms_go_together():
    found = use_of("half my brightness, 4h/day and half the bright content")
    assert found.pace(math.nan) == pytest.approx(4.0)
    assert found.rate.likely == pytest.approx(of_brightness(0.5).likely * of_bright_content(0.5).likely)
    assert use_of("half my brightness,4h/day").hours_a_day == 4.0


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("", "say how it is used"),
        ("8 elephants", "is no way of using a panel"),
        ("some of my hours", "is no way of using a panel"),
        ("8h/day, 4h/day", "both say hours"),
        ("8h/day, half my hours", "both say hours"),
        ("25h/day", "0.1 to 24 h"),
        ("8h x 8d/week", "0.1 to 7 days"),
        ("0h/day", "0.1 to 24 h"),
        ("-3h/day", "0.1 to 24 h"),
        ("\u22123h/day", "0.1 to 24 h"),
        (f"0.{'0' * 320}1h/day", "0.1 to 24 h"),
        (f"{'9' * 400}h/day", "0.1 to 24 h"),
        (f"8h x 0.{'0' * 320}1d/week", "0.1 to 7 days"),
        ("double the bright content", "1 % at least and all of it at most"),
        ("0 % of my brightness", "1 % at least and 20 times at most"),
        ("-50 % of my brightness", "1 % at least and 20 times at most"),
        (f"0.{'0' * 300}1 % of my brightness", "1 % at least and 20 times at most"),
        ("2001 % of my hours", "1 % at least and 20 times at most"),
        (
            "half my brightness, twice my brightness",
            "'half my brightness' and 'twice my brightness' both say brightness",
        ),
        (" and ".join(["2000 % of my brightness"] * 300), "both say brightness"),
        ("half my hours, half my hours", "both say hours"),
        ("half the bright content, 10 % of my bright content", "both say bright content"),
    ],
)
def test_what_is_no_use_is_said_in_one_sentence(said, words):
    with pytest.raises(UsageError) as error:
        use_of(said)
    assert words in str(error.value)
    assert "\n" not in str(error.value)
