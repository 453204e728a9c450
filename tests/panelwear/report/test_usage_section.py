"""What the report says of hours, usage and doses."""

from __future__ import annotations

from dataclasses import replace

import pytest

from panelwear.panel.assumed import assumed_response
from panelwear.report.build import report_of
from panelwear.report.content import Section
from panelwear.report.inputs import Inputs, inputs_of
from panelwear.report.page import html_of
from panelwear.usage.records import parse_usage
from panelwear.usage.told import told_of
from tests.panelwear.report import desk
from tests.panelwear.report.page_reader import Page
from tests.panelwear.report.test_build import with_facts

RESPONSE = assumed_response({"kind": "power", "gamma": 2.2, "peak_cd_m2": 240.0})


def of(inputs: Inputs) -> Section:
    return next(one for one in report_of(inputs).sections if one.key == "usage")


def estimated() -> Inputs:
    later = desk.subject(4400.0)
    how = replace(later.circumstances, hours_kind="estimated", hours_low=4200.0, hours_high=4600.0)
    return inputs_of(desk.panel(), [desk.subject(0.0), with_facts(later, circumstances=how)])


def test_hours_that_were_all_read_are_folded() -> None:
    found = of(desk.inputs(0.0, 4400.0))
    assert (found.tables, len(found.folded)) == ((), 1)
    assert found.folded[0].rows[1][2:] == ("4400 h", "read from the panel's menu")


def test_a_range_of_hours_stays_one_everywhere() -> None:
    inputs = estimated()
    report = report_of(inputs)
    (table,) = of(inputs).tables
    assert table.rows[1][2:] == ("4200 to 4600 h", "estimated")
    assert "0 h to 4200–4600 h of use" in report.subtitle
    over_hours = [
        p.table for one in report.sections for p in one.pictures if p.table.columns[0].name == "Hours of use (h)"
    ]
    assert over_hours
    assert {table.rows[-1][0] for table in over_hours} == {"4200 to 4600"}
    assert all("4400" not in p.alt for one in report.sections for p in one.pictures)
    text = Page(html_of(report)).text
    assert "4400 h" not in text.replace("2027-01-07-h4400", "")
    (change,) = (one for one in inputs.pairs if one.since == "baseline")
    assert change.sub_pixels is not None
    for channel in change.sub_pixels.channels:
        loss = channel.loss_per_1000_h
        of_range = next(c for c in loss.components if c.name == "hours of use, estimated within a range")
        # Half the width over sqrt 3 (JCGM 100:2008, 4.3.7), over 4400 h.
        assert of_range.u == pytest.approx(abs(loss.value) * 200 / 3**0.5 / 4400)


def test_doses_and_what_was_told_stand_in_it() -> None:
    inputs = desk.inputs(0.0, 4400.0)
    usage = parse_usage({"stretches": [{"since": "always", "hours_a_day": 8, "white_cd_m2": 120,
                                        "content": [{"zone": "chart", "light": [1, 0.5, 0]}]}]})  # fmt: skip
    told = told_of(inputs.panel, usage, [c.circumstances for c in inputs.checkpoints], RESPONSE)

    found = of(replace(inputs, usage=told))

    doses = next(one for one in found.tables if one.caption.startswith("Effective hours"))
    assert doses.rows[0][:2] == ("chart", "4,400 (4,400 to 4,400)")
    assert doses.rows[0][2] == "1,350 (1,100 to 1,670)"  # 4400 x 0.5^1.7, ^2.0, ^1.4
    assert any("n = 1.7 (1.4 to 2.0; common practice, no source)" in one for one in found.points)
    assert any("were counted and" in one for one in found.points)
    assert found.folded[0].rows[0][:5] == ("always", "now", "8 h a day", "120 cd/m²", "chart: light 100/50/0 %")


def test_what_the_panel_file_says_in_words_stands_on_top() -> None:
    panel = replace(desk.panel(), model="made up", usage="a desk", brightness="60 of 100")
    facts = dict(report_of(inputs_of(panel, [desk.subject(0.0)])).facts)
    assert (facts["Model"], facts["Used for"], facts["Brightness, as noted"]) == ("made up", "a desk", "60 of 100")
