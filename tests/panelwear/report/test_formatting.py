"""Numbers as a reader sees them."""

from __future__ import annotations

import math

from panelwear.report.formatting import at, minus, signed, told
from panelwear.uncertainty.estimate import Estimate


def test_a_minus_before_a_digit_is_a_minus_and_a_hyphen_in_a_name_stays() -> None:
    assert minus("-3.1 ± 0.2 %") == "\u22123.1 ± 0.2 %"
    assert minus("< -0.1") == "< \u22120.1"
    assert minus("vessel-list, 2026-01-05, c16-c24") == "vessel-list, 2026-01-05, c16-c24"


def test_a_step_up_has_its_sign_too() -> None:
    # JCGM 100, G.2: 1.96 for infinitely many degrees of freedom.
    assert signed(Estimate("x", 1.0, "%", 0.1)) == "+1.00 ± 0.20 %"
    assert signed(Estimate("x", -1.0, "%", 0.1)) == "\u22121.00 ± 0.20 %"
    assert signed(Estimate("x", 0.0, "%", 0.1)) == "0.00 ± 0.20 %"


def test_nothing_is_a_dash_and_a_reason_is_kept() -> None:
    assert told(None) == "—"
    assert told(Estimate("x", math.nan, "%", math.nan, note="not read")) == "— (not read)"


def test_a_point_carries_its_interval_and_a_bound_one_open_end() -> None:
    point = at(5.0, Estimate("x", 10.0, "1", 1.0))
    assert (round(point.low, 2), round(point.high, 2)) == (8.04, 11.96)
    bound = at(5.0, Estimate("x", 10.0, "1", 1.0, limit="<"))
    assert bound.low == -math.inf
    assert bound.high == 10.0
    assert bound.told.startswith("< 10")
