"""Hours of use a day between two checkpoints, of records that people may have edited too."""

from __future__ import annotations

import math

import pytest

from panelwear.compare.comparison import End, used_a_day


def test_hours_a_day_are_counted_between_the_days_two_checkpoints_were_begun() -> None:
    assert used_a_day(End("a", 100.0, "2026-01-05"), End("b", 220.0, "2026-01-15")) == pytest.approx(12.0)


@pytest.mark.parametrize("date", ["", "nan", "2026", "2026-13-45", "2026-01-15"])
def test_a_day_that_is_none_tells_nothing(date: str) -> None:
    assert math.isnan(used_a_day(End("a", 100.0, "2026-01-15"), End("b", 220.0, date)))
