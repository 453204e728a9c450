"""What may be said of two limits, and how they are rounded."""

import math

import pytest

from panelwear.ageing.said import Limits, rounded_hours


@pytest.mark.parametrize(
    ("low", "high", "more", "kind"),
    [
        (1500, 2500, {}, "interval"),
        (1500, 3500, {}, "indicative"),  # beyond three times the 1000 h seen
        (1500, 6500, {}, "bound"),  # more than a factor of four apart
        (6500, 7000, {}, "bound"),  # beyond six times the span
        (1500, 2500, {"is_weak": True}, "bound"),
        (1500, math.inf, {}, "bound"),
    ],
)
def test_what_may_be_said_follows_from_how_far_limits_reach(low, high, more, kind):
    assert Limits(low, high, 0.0, 1000.0, **more).kind == kind


def test_a_bound_goes_no_farther_than_six_times_the_span_seen():
    assert Limits(9000, math.inf, 100.0, 1100.0).bound_h == pytest.approx(6100)


def test_limits_are_rounded_outwards_to_two_digits_of_the_time_since_the_baseline():
    assert rounded_hours(1234, 0.0, math.floor) == pytest.approx(1200)
    assert rounded_hours(1234, 0.0, math.ceil) == pytest.approx(1300)
    assert rounded_hours(1600, 0.0, math.floor) == pytest.approx(1600)
    assert Limits(1234, 1777, 0.0, 1000.0).between() == "between 1200 and 1800 h of use (95 %)"
