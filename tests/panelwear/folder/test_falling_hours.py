"""Checkpoints of a later day with fewer hours are found, whatever order they come in."""

from __future__ import annotations

import pytest

from panelwear.figures.circumstances import Circumstances
from panelwear.folder.falling_hours import falling_hours

JAN, APR, JUL, OCT = "2026-01-05", "2026-04-05", "2026-07-05", "2026-10-05"


def found(*told: tuple[str, float]) -> list[tuple[str, str]]:
    named = [Circumstances(name=f"{date}-h{hours:g}", hours=hours, date=date) for date, hours in told]
    return [(fall.earlier, fall.later) for fall in falling_hours(sorted(named, key=lambda c: c.hours))]


@pytest.mark.parametrize(
    "told",
    [
        [],
        [(JAN, 0), (APR, 900), (JUL, 1800)],
        [(JAN, 900), (APR, 900)],
        [(JAN, 0), (JAN, 900), (JAN, 10)],  # of one day: in any order
        [(JAN, 0), ("", 900), ("some day", 5)],
    ],
)
def test_hours_that_rise_or_have_no_order_are_nothing(told: list[tuple[str, float]]) -> None:
    assert found(*told) == []


def test_each_that_falls_is_told_beside_the_one_with_most_hours_before() -> None:
    assert found((JAN, 0), (APR, 1900), (JUL, 1800), (OCT, 1850)) == [
        (f"{APR}-h1900", f"{JUL}-h1800"),
        (f"{APR}-h1900", f"{OCT}-h1850"),
    ]


def test_the_sentence_names_both_with_days_and_hours() -> None:
    before, after = Circumstances(name="a", hours=1000, date=APR), Circumstances(name="b", hours=900.5, date=JUL)
    (fall,) = falling_hours([after, before])
    assert fall.sentence == (
        "b was begun after a (2026-07-05, 2026-04-05) but has fewer hours of use (900.5 h, 1000 h): hours only rise, "
        "so one of the two was mistyped or the panel's counter was reset; 'panelwear amend' corrects it"
    )


def test_ranges_that_overlap_are_not_called_mistyped() -> None:
    about = {"hours_kind": "estimated", "hours_low": 2100.0, "hours_high": 2500.0}
    before = Circumstances(name="a", hours=2300, date=APR, **about)
    (fall,) = falling_hours([before, Circumstances(name="b", hours=2200, date=JUL)])
    assert fall.sentence == (
        "b was begun after a (2026-07-05, 2026-04-05) but the middle of its hours lies below (2200 h, 2100 to 2500 h): "
        "the ranges overlap, so which was first cannot be told from hours; 'panelwear amend' takes narrower ones"
    )
    (fall,) = falling_hours([before, Circumstances(name="b", hours=2100, date=JUL)])
    assert "mistyped" in fall.sentence
