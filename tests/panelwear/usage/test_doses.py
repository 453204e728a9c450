"""Doses by zone and channel from what was told of usage."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from panelwear.compare.comparison import End
from panelwear.folder.hours import HoursOfUse, between
from panelwear.folder.panel import Panel
from panelwear.panel.assumed import assumed_response
from panelwear.simulation.ageing import Ageing
from panelwear.simulation.usage import HARBOUR_DESK, harbour_desk_zones
from panelwear.usage.doses import Dose, doses_of
from panelwear.usage.records import Usage, parse_usage

PANEL = Panel(Path(), "harbour-desk", 1280, 720, (597.0, 336.0), 60, 600, zones=harbour_desk_zones(1280, 720))
POWER = assumed_response({"kind": "power", "gamma": 2.2, "peak_cd_m2": 240.0})
WHITE = 200.0
LIT = {"light": [1, 1, 1]}


def usage(*stretches: dict[str, object]) -> Usage:
    return parse_usage({"stretches": list(stretches)})


def end(name: str, hours: float | HoursOfUse, date: str) -> End:
    use = hours if isinstance(hours, HoursOfUse) else HoursOfUse(hours)
    return End(name, use.value, date, use)


ENDS = (end("a", 0.0, "2026-01-05"), end("b", 2200.0, "2026-10-07"), end("c", 4400.0, "2027-07-09"))


def of(doses: tuple[Dose, ...], zone: str, channel: str) -> Dose:
    return next(one for one in doses if (one.zone, one.channel) == (zone, channel))


def test_told_usage_of_the_invented_desk_gives_the_doses_it_is_worn_by() -> None:
    told = usage(
        {
            "since": "always",
            "hours_a_day": 8,
            "white_cd_m2": WHITE,
            "content": [{"zone": c.zone, "light": [v / WHITE for v in c.drive_cd_m2]} for c in HARBOUR_DESK],
        }
    )

    found = doses_of(told, PANEL, POWER, ENDS)

    # Ground truth: what the simulated panel's sub-pixels are aged by, in the middle of each zone.
    at = np.array([zone.rect.centre for zone in PANEL.zones]) / (1280, 720)
    at[0] = (0.5, 0.2)  # the chart's own middle lies under the route line
    true = Ageing().dose_rate(at[:, 0], at[:, 1])[:, :3]
    for zone, rates in zip(PANEL.zones, true, strict=True):
        for channel, rate in zip(("red", "green", "blue"), rates, strict=True):
            assert of(found, zone.name, channel).hours == pytest.approx((0.0, 2200 * rate, 4400 * rate), rel=1e-9)


def test_hours_of_bright_white_count_more() -> None:
    told = usage({"since": "always", "white_cd_m2": 120, "content": [{"codes": [255, 255, 255]}]},
                 {"since": "b", "white_cd_m2": 240})  # fmt: skip

    red = of(doses_of(told, PANEL, POWER, ENDS), "chart", "red")

    assert red.hours == pytest.approx((0, 2200, 2200 + 2200 * 2**1.7))
    assert red.low == pytest.approx((0, 2200, 2200 + 2200 * 2**1.4))
    assert red.high == pytest.approx((0, 2200, 2200 + 2200 * 2**2.0))


def test_a_middle_grey_is_weighed_by_the_response() -> None:
    told = usage({"since": "always", "white_cd_m2": 120, "content": [{"codes": [128, 128, 128]}]})
    found = of(doses_of(told, replace(PANEL, zones=()), POWER, ENDS), "", "green")
    # (128/255)^(2.2 n) for n = 1.7, 2.0, 1.4.
    assert found.hours[-1] / 4400 == pytest.approx(0.0759, abs=2e-4)
    assert found.low[-1] / 4400 == pytest.approx(0.0482, abs=2e-4)
    assert found.high[-1] / 4400 == pytest.approx((128 / 255) ** 3.08, rel=2e-3)


def test_shares_of_time_add_up_and_the_rest_is_black() -> None:
    content = [{"light": [1, 1, 1], "share": 0.25}, {"light": [0.5, 0.5, 0.5], "share": 0.5}]
    told = usage({"since": "always", "white_cd_m2": 120, "content": content})
    found = of(doses_of(told, PANEL, POWER, ENDS), "chart", "blue")
    assert found.hours[-1] / 4400 == pytest.approx(0.25 + 0.5 * 0.5**1.7)


def test_ranges_that_were_told_widen_the_band() -> None:
    told = usage({"since": "always", "white_cd_m2": [100, 140], "content": [{"light": [1, 1, 1], "share": [0.4, 0.6]}]})
    ends = (end("a", between(900, 1100), "2026-01-05"),)

    found = of(doses_of(told, PANEL, POWER, ends), "chart", "red")

    assert found.hours == pytest.approx((500.0,))
    assert found.low == pytest.approx((900 * 0.4 * (100 / 120) ** 2.0,))
    assert found.high == pytest.approx((1100 * 0.6 * (140 / 120) ** 2.0,))


def test_a_change_between_two_checkpoints_is_weighed_by_the_hours_told() -> None:
    told = usage(
        {"since": "always", "hours_a_day": 4, "white_cd_m2": 120, "content": [{"light": [1, 1, 1]}]},
        {"since": "2026-01-15", "hours_a_day": 12, "content": [{"light": [0.5, 0.5, 0.5]}]},
    )
    ends = (end("a", 0.0, "2026-01-05"), end("b", 160.0, "2026-01-25"))

    found = of(doses_of(told, PANEL, POWER, ends), "chart", "red")

    # Ten days of 4 h of white, ten days of 12 h of half as much.
    assert found.hours == pytest.approx((0.0, 40 + 120 * 0.5**1.7))


def test_what_nobody_told_is_the_nearest_before() -> None:
    told = usage({"since": "2026-01-05", "until": "2026-02-05", "white_cd_m2": 120, "content": [{"light": [1, 1, 1]}]})
    found = of(doses_of(told, PANEL, POWER, (end("z", 100.0, "2026-01-05"), *ENDS[1:])), "chart", "red")
    assert found.hours == pytest.approx((100, 2200, 4400))


def test_what_was_told_of_a_day_stands_whatever_else_other_days_lend_it() -> None:
    before = {"since": "always", "until": "b", "white_cd_m2": 250}
    after = {"since": "b", "white_cd_m2": 120, "content": [{"shows": "mid"}]}

    found = of(doses_of(usage(before, after), PANEL, POWER, ENDS), "chart", "red").hours
    alone = of(doses_of(usage(after), PANEL, POWER, ENDS), "chart", "red").hours

    # Until b the middle tones of later days at the brightness told of these days; worked by hand: (250/120)^1.7.
    assert found[1] == pytest.approx(alone[1] * (250 / 120) ** 1.7)
    assert found[2] - found[1] == pytest.approx(alone[2] - alone[1])


def test_a_brightness_told_later_only_stands_for_the_days_before() -> None:
    told = usage(
        {"since": "always", "content": [{"codes": [255, 255, 255]}]}, {"since": "b", "until": "c", "white_cd_m2": 120}
    )
    found = of(doses_of(told, PANEL, POWER, ENDS), "chart", "red")
    assert found.hours == pytest.approx((0, 2200, 4400))


def test_days_that_nobody_told_of_are_weighed_by_the_nearest_before() -> None:
    told = usage(
        {"since": "2026-01-05", "until": "2026-01-10", "hours_a_day": 4, "white_cd_m2": 120, "content": [LIT]},
        {"since": "2026-01-20", "until": "2026-01-25", "hours_a_day": 12, "content": [{"light": [0.5, 0.5, 0.5]}]},
    )
    ends = (end("a", 0.0, "2026-01-05"), end("b", 120.0, "2026-01-25"))
    # Five days of 4 h and the ten that nobody told of likewise, then five of 12 h.
    assert of(doses_of(told, PANEL, POWER, ends), "chart", "red").hours == pytest.approx((0.0, 60 + 60 * 0.5**1.7))


def test_hours_before_the_first_checkpoint_go_back_stretch_by_stretch() -> None:
    told = usage(
        {"since": "always", "hours_a_day": 8, "white_cd_m2": 120, "content": [LIT]},
        {"since": "2026-01-01", "hours_a_day": 2, "content": [{"light": [0.5, 0.5, 0.5]}]},
    )
    # 40 h since 1 January; the other 160 h are hours of the days before it.
    found = of(doses_of(told, PANEL, POWER, (end("a", 200.0, "2026-01-21"),)), "chart", "red")
    assert found.hours == pytest.approx((160 + 40 * 0.5**1.7,))


def test_a_checkpoint_whose_day_is_not_known_takes_what_held_at_the_one_before() -> None:
    told = usage(
        {"since": "always", "until": "2026-10-07", "white_cd_m2": 120, "content": [LIT]},
        {"since": "2026-10-07", "content": [{"light": [0.5, 0.5, 0.5]}]},
    )
    ends = (ENDS[0], end("b", 2200.0, ""), ENDS[2])
    found = of(doses_of(told, PANEL, POWER, ends), "chart", "red")
    by_days = (275 * 1.0 + 275 * 0.5**1.7) / 550  # 5 January until 7 October, until 9 July
    assert found.hours == pytest.approx((0, 2200, 2200 + 2200 * by_days))


def test_zones_that_cover_the_panel_leave_no_dose_outside_them() -> None:
    told = usage({"since": "always", "white_cd_m2": 120, "content": [LIT]})
    assert "" not in {one.zone for one in doses_of(told, PANEL, POWER, ENDS)}
    some = replace(PANEL, zones=PANEL.zones[-2:])
    assert "" in {one.zone for one in doses_of(told, some, POWER, ENDS)}


def test_nothing_told_gives_no_dose() -> None:
    assert doses_of(Usage(), PANEL, POWER, ENDS) == ()
    assert doses_of(usage({"since": "always", "hours_a_day": 8}), PANEL, POWER, ENDS) == ()
    only = usage({"since": "always", "content": [{"zone": "chart", "shows": "mid"}]})
    assert {one.zone for one in doses_of(only, PANEL, POWER, ENDS)} == {"chart"}
