"""Hours on one scale: what was told of usage decides how hard each hour was."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from panelwear.compare.comparison import Comparison, End
from panelwear.compare.like_use import with_usage
from panelwear.compare.trend import FigureHistory, TrendPoint
from panelwear.folder.hours import HoursOfUse
from panelwear.panel.assumed import assumed_response
from panelwear.usage.doses import Dose
from panelwear.usage.records import Usage
from panelwear.usage.told import Begun, UsageTold
from patterns.frame import Rect
from sequences.model import PanelFacts, Zone

HOURS = (0.0, 2000.0, 4000.0, 6000.0, 8000.0, 10_000.0)
NAMES = tuple(f"c{i}" for i in range(len(HOURS)))
CHART, LIST = (
    Zone("chart", Rect(0, 0, 1000, 600), (500, 300)),
    Zone("list", Rect(0, 0, 200, 600), (100, 300), "chart"),
)
FACTS = PanelFacts(1000, 600, (600.0, 340.0), zones=(CHART, LIST))
HARD_FIRST = (0.0, 6000.0, 12_000.0, 14_000.0, 16_000.0, 18_000.0)
"""Three effective hours an hour until 4000 h, one from there on."""


def doses(zone: str, hours: tuple[float, ...], low=None, high=None) -> tuple[Dose, ...]:
    return tuple(Dose(zone, c, hours, low or hours, high or hours) for c in ("red", "green", "blue"))


def told(*found: Dose) -> UsageTold:
    begun = tuple(Begun(name, "", HoursOfUse(h)) for name, h in zip(NAMES, HOURS, strict=True))
    return UsageTold(Usage(()), begun, assumed_response({}), found, (), (), ())


def compared(**series: tuple[float, ...]) -> Comparison:
    """Return a comparison whose figures were read to 0.05 % of them."""
    trend = tuple(
        FigureHistory(name, name, "", tuple(
            TrendPoint(c, h, v, 5e-4 * abs(v), v, v, 0, own_u=5e-4 * abs(v))
            for c, h, v in zip(NAMES, HOURS, values, strict=True)))
        for name, values in series.items()
    )  # fmt: skip
    ends = tuple(End(c, h, "", HoursOfUse(h)) for c, h in zip(NAMES, HOURS, strict=True))
    return Comparison("demo", 0.95, ends, (), trend, (), ())


def kept_by(dose: tuple[float, ...], tau: float = 100_000.0, b: float = 0.8) -> tuple[float, ...]:
    return tuple(300.0 * math.exp(-((d / tau) ** b)) for d in dose)


def hours_of(found: Comparison, name: str) -> list[float]:
    return [p.hours for s in found.forecast_from if s.name == name for p in s.points]


def test_limits_are_hours_of_use_as_hard_as_on_average():
    """A loss by the dose alone: 40 % of it at exp(-(d / tau)^0.8) = 0.6, by hand, and 1.8 doses an hour on average."""
    found = with_usage(compared(**{"white.Y": kept_by(HARD_FIRST)}), told(*doses("chart", HARD_FIRST)), FACTS)
    true_h = 100_000 * (-math.log(0.6)) ** (1 / 0.8) / 1.8
    loss = found.forecasts(0.4)["white"]
    assert loss.low_h < true_h and (loss.said == "bound" or true_h < loss.high_h)
    # Hours as counted make the same wear look as if it slowed down: the limit then comes later than it should.
    assert loss.low_h < compared(**{"white.Y": kept_by(HARD_FIRST)}).forecasts(0.4)["white"].low_h


def test_ends_keep_their_hours_and_what_lies_between_stands_where_its_dose_does():
    found = with_usage(compared(**{"white.Y": kept_by(HARD_FIRST)}), told(*doses("chart", HARD_FIRST)), FACTS)
    assert hours_of(found, "white.Y") == pytest.approx([10_000 * d / 18_000 for d in HARD_FIRST])
    assert [p.hours for p in found.trend[0].points] == [*HOURS]
    assert "c2 (4000 h) counts as 6670 h" in found.hours_said(["white.Y"])


def test_only_figures_that_were_asked_for_are_named():
    one = told(*doses("chart", HARD_FIRST), *doses("list", HARD_FIRST))
    figures = {"white.Y": kept_by(HARD_FIRST), "white.duv": (0.001,) * 6, "white.u_prime": (0.2,) * 6}
    found = with_usage(compared(**figures, **{"zone/list": (0.0, -1.0, -2.0, -2.5, -3.0, -3.4)}), one, FACTS)
    assert "for white.Y c2" in found.hours_said(["white.Y"])
    assert "for zone/list c2" in found.hours_said(["zone/list"])
    assert "for the shift of white c2" in found.hours_said(["white.u_prime", "white.v_prime"])
    assert found.hours_said([]) == found.hours_said(["red.Y"]) == ""


def test_a_contrast_goes_by_what_ages_more_of_zone_and_reference():
    even = tuple(h / 10 for h in HOURS)
    for own, other in ((HARD_FIRST, even), (even, HARD_FIRST)):
        one = told(*doses("list", own), *doses("chart", other))
        found = with_usage(compared(**{"zone/list": (0.0, -1.0, -2.0, -2.5, -3.0, -3.4)}), one, FACTS)
        assert hours_of(found, "zone/list") == pytest.approx([10_000 * d / 18_000 for d in HARD_FIRST])


def test_how_far_the_doses_may_be_wrong_is_in_the_uncertainty_of_the_hours():
    other = tuple(np.linspace(0, 18_000, 6))
    one = told(*doses("chart", HARD_FIRST, low=other, high=HARD_FIRST))
    (series,) = with_usage(compared(**{"white.Y": kept_by(HARD_FIRST)}), one, FACTS).forecast_from
    wide = 10_000 * (12_000 / 18_000 - 4000 / 10_000)
    assert [p.hours_u for p in series.points][2] == pytest.approx(wide / (2 * math.sqrt(3)))
    assert series.points[0].hours_u == series.points[-1].hours_u == 0


@pytest.mark.parametrize(
    "one",
    [None, told(), told(*doses("chart", HOURS)), told(*doses("list", HARD_FIRST)), told(*doses("chart", (0.0,) * 6)),
     replace(told(*doses("chart", HARD_FIRST)), checkpoints=(Begun("c0", "", HoursOfUse(0)),))],
)  # fmt: skip
def test_where_use_was_alike_or_nobody_told_hours_stay_as_they_are(one):
    found = compared(**{"white.Y": kept_by(HOURS)})
    assert with_usage(found, one, FACTS) is found
