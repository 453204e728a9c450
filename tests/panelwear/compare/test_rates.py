"""A range of hours enters what is given for hours of use."""

from __future__ import annotations

import math

import numpy as np
import pytest

from panelwear.compare.comparison import End, between_told, hours_between, paces, too_wide
from panelwear.compare.rates import loss_of
from panelwear.folder.hours import HoursOfUse, between
from panelwear.uncertainty.estimate import Estimate

EARLY = End("a", 1000.0, "2026-01-05", HoursOfUse(1000))
LATE = End("b", 2300.0, "2026-09-02", between(2100, 2500))


def test_the_loss_for_every_1000_h_has_the_uncertainty_of_the_range() -> None:
    kept = Estimate("blue.retention", -2.6, "%", 0.13, math.inf)

    found = loss_of(kept, "blue", *hours_between(EARLY, LATE), "")

    assert found.value == pytest.approx(2.0)
    # Checked by drawing from both distributions (JCGM 101:2008), not by the law of propagation it is worked out with.
    draws = np.random.default_rng(5)
    hours = draws.uniform(2100, 2500, 400_000) - 1000
    loss = 1000 * draws.normal(2.6, 0.13, 400_000) / hours
    assert found.u == pytest.approx(float(np.std(loss)), rel=0.03)
    assert {c.name for c in found.components} == {"luminance kept", "hours of use, estimated within a range"}


def test_hours_that_are_no_range_leave_the_rate_as_it_was() -> None:
    kept = Estimate("blue.retention", -2.6, "%", 0.13, 12.0)
    found = loss_of(kept, "blue", 1300.0, 0.0, "")
    assert (found.value, found.u, found.dof) == (pytest.approx(2.0), pytest.approx(0.1), 12.0)


def test_hours_and_pace_between_two_checkpoints_are_a_range_too() -> None:
    assert between_told(EARLY, LATE) == "1100 to 1500 h"
    assert paces(EARLY, LATE) == (pytest.approx(1100 / 240), pytest.approx(1500 / 240))
    assert too_wide(EARLY, LATE) == ""


def test_ranges_that_nearly_meet_give_no_rate() -> None:
    near = End("c", 2500.0, "2026-10-02", between(2300, 2700))
    said = too_wide(LATE, near)
    assert said == "the hours are known within ranges only, and 0 to 600 h lie between the checkpoints"
    assert too_wide(EARLY, End("d", 1000.0, "2026-01-06")) == ""
