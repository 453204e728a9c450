"""A whole comparison: pairs, tables, sentences, trend."""

import csv
import io
import json
import math
import re
from dataclasses import replace

import numpy as np
import pytest

from panelwear.compare.comparing import comparison_of
from panelwear.compare.comparison_tables import json_of, tables_of
from panelwear.compare.sentences import SENTENCES, verdict_of
from panelwear.errors import UsageError
from panelwear.figures.circumstances import ProbeName
from panelwear.figures.evidence import put_together
from panelwear.figures.flags import Flagged
from panelwear.forecast.told import sentences_of
from panelwear.uncertainty.formatting import with_uncertainty
from panelwear.uncertainty.meter import MeterTerms
from patterns.frame import Rect
from sequences.model import PanelFacts, Zone
from tests.panelwear.compare.panels import FACTS, ZONES, read, subject, with_facts
from tests.panelwear.telling.unbroken import lines

METER = MeterTerms(session_scale=0.005, session_xy=0.00025, placement=0.001, dark_noise_cd_m2=0.003)
NOISE = {"noise": 0.0015, "placement": 0.001, "dark_noise": 0.003}


def checkpoint(name, hours, seed, kept=(1, 1, 1), zones=None, **facts):
    table = read(kept, zones or {"list": 0.005, "badge": 0.0}, seed=seed, **NOISE)
    return subject(table, name, hours, METER, **facts)


@pytest.fixture(scope="module")
def worn():
    return [
        checkpoint("third", 4000.0, 3, (0.93, 0.92, 0.88), {"list": -0.03, "badge": 0.04}),
        checkpoint("first", 0.0, 1),
        checkpoint("second", 2000.0, 2, (0.96, 0.955, 0.93), {"list": -0.015, "badge": 0.02}),
    ]


@pytest.fixture(scope="module")
def found(worn):
    return comparison_of(worn, panel="demo", facts=FACTS, every_figure=True)


def test_the_newest_is_compared_with_the_baseline_and_with_last_time(found):
    assert [(p.since, p.before.name, p.after.name) for p in found.pairs] == [
        ("baseline", "first", "third"),
        ("last", "second", "third"),
    ]
    assert [c.name for c in found.checkpoints] == ["first", "second", "third"]


def test_the_change_table_holds_what_was_put_in(found):
    rows = {row.name: row for row in found.pairs[0].rows}
    for name in ("white.Y", "white.uv_prime", "white.cct", "balance", "blue.relative", "zone/list", "zone/badge"):
        assert rows[name].judged.verdict == "changed", name
    for name in ("gamma", "additivity", "black"):
        assert rows[name].judged.verdict != "changed", name
    assert rows["zone/badge"].change.step.value == pytest.approx(4.0, abs=0.6)
    assert rows["white.cct"].change.step.value == pytest.approx(6284 - 6504, abs=60)
    # The calibration's scale cancels, the session's stays.
    assert rows["white.Y"].change.step.u == pytest.approx(0.0072 * 92, rel=0.2)


def test_every_zone_is_judged_however_many_there_are():
    # Ten zones, the last one at -6 %: no other figure's place in the table may silence it.
    names = [f"zone{i}" for i in range(10)]
    zones = [dict.fromkeys(names, 0.0), dict.fromkeys(names, 0.0) | {"zone9": -0.06}]
    then, now = (subject(read(zones=z, seed=s, **NOISE), str(s), float(s), METER) for s, z in enumerate(zones, start=1))
    found = comparison_of([then, now], facts=PanelFacts(100, 100, (10, 10)))
    pair = found.pairs[0]
    assert len([r for r in pair.rows if r.name.startswith("zone/")]) == 10
    assert all(z.judged is not None for z in pair.zones)
    (worn,) = [z for z in pair.zones if z.wore]
    assert worn.zone == "zone9"
    assert "zone9 became" in found.sentences[0]
    assert "darker relative to its reference (burn-in)" in found.sentences[0]


def test_sentences_are_stated_at_the_level_that_was_asked_for(worn):
    usual, strict = (comparison_of(worn, level=level) for level in (0.95, 0.99))
    (row,) = [r for r in strict.pairs[0].rows if r.name == "zone/list"]
    at_95, at_99 = (with_uncertainty(row.change.step, level, signed=True).lstrip("+\u2212") for level in (0.95, 0.99))
    assert at_95 in " ".join(usual.sentences)
    assert at_99 in " ".join(strict.sentences)
    assert at_95 not in " ".join(strict.sentences)


def test_one_pair_can_be_chosen(worn):
    found = comparison_of(worn, since="first", until="second")
    assert [(p.since, p.before.name, p.after.name) for p in found.pairs] == [("chosen", "first", "second")]


@pytest.mark.parametrize(
    ("since", "until", "said"),
    [("nowhere", None, "there is no checkpoint 'nowhere'; there are first, second, third"),
     ("third", "first", "'third' is not earlier than 'first'")],
)  # fmt: skip
def test_a_choice_that_makes_no_sense_is_one_sentence(worn, since, until, said):
    with pytest.raises(UsageError, match=said):
        comparison_of(worn, since=since, until=until)


def test_five_sentences_say_what_wears_what_changed_and_how_far_to_trust_it(found):
    assert len(found.sentences) == SENTENCES == 5
    channels = found.pairs[1].sub_pixels.sentences({"balance": "changed"})[0]
    assert channels.startswith("Blue wears fastest")
    assert "% per 1000 h" in channels
    zones, white, channels, what, trust = found.sentences
    assert zones.startswith("Since the baseline (0 h to 4000 h of use) badge (at the top right) became")
    assert "list (on the left) became" in zones.partition(". ")[2]
    assert white.startswith("White gives")
    assert channels.startswith("Blue wears most")
    assert "figures changed by an amount that matters: " in what
    assert "Since last time (2000 h) changed" in trust
    assert all(s.endswith(".") for s in found.sentences)


def test_nothing_is_called_unchanged_without_a_bound():
    same = [checkpoint("a", 0.0, 1), checkpoint("b", 500.0, 2)]
    found = comparison_of(same, facts=FACTS)
    text = "\n".join(lines(found))
    assert (
        "changes larger than these are ruled out, each by itself" in found.sentences[3]
        or "figures changed" in found.sentences[3]
    )
    assert "no change\n" not in text
    assert "unchanged" not in text
    for line in text.splitlines():
        if "no change" in line:
            assert "larger than" in line


def test_another_setting_withholds_the_verdict_and_says_why():
    pair = comparison_of(
        [checkpoint("a", 0.0, 1, answers={"brightness": "80"}),
         checkpoint("b", 500.0, 2, (0.8, 0.8, 0.8), answers={"brightness": "60"})]
    ).pairs[0]  # fmt: skip
    rows = {row.name: row for row in pair.rows}
    assert rows["white.Y"].judged.verdict == "undecided"
    assert "was '80', is now '60'" in rows["white.Y"].judged.why
    assert rows["zone/list"].judged.why == ""
    assert pair.sub_pixels is None


def test_another_probe_makes_luminance_undecided_but_leaves_zones():
    pair = comparison_of(
        [checkpoint("a", 0.0, 1, zones={"list": 0.0}), checkpoint("b", 500.0, 2, (0.97,) * 3, {"list": -0.03},
                                                                  probe="Q")]
    ).pairs[0]  # fmt: skip
    rows = {row.name: row for row in pair.rows}
    assert rows["white.Y"].change.step.u > 2.8
    assert rows["white.Y"].judged.verdict == "undecided"
    assert rows["balance"].judged.verdict != "changed"
    assert rows["zone/list"].judged.verdict == "changed"


def test_another_probes_linearity_is_no_change_of_gamma():
    quiet = {"noise": 0.0002, "placement": 0.0, "dark_noise": 0.0}
    then, now = (read(seed=s, **quiet) for s in (1, 2))
    # 0.3 % for every factor of ten away from 100 cd/m², as a probe may have it that is otherwise alike.
    bent = 1 + 0.003 * np.log10(np.maximum(now.Y, 0.01) / 100)
    now = replace(now, X=now.X * bent, Y=now.Y * bent, Z=now.Z * bent)
    meter = MeterTerms(session_scale=0.005, placement=0.0, dark_noise_cd_m2=0.0)
    verdicts = {}
    for probe in ("P", "Q"):
        pair = comparison_of([subject(then, "a", 0.0, meter), subject(now, "b", 9.0, meter, probe=probe)]).pairs[0]
        row = next(r for r in pair.rows if r.name == "gamma")
        verdicts[probe] = row.judged.verdict
        assert ("linearity" in {c.name for c in row.change.step.components if c.u > 1e-3}) is (probe == "Q")
    # With one and the same probe such a step is the panel's.
    assert verdicts["P"] == "changed"
    assert verdicts["Q"] != "changed"


def test_placement_is_learned_from_all_checkpoints_of_one_probe_however_it_was_named(worn):
    first, second = worn[1], worn[2]
    names = (ProbeName("SN77", ""), ProbeName("SN77", "SN77-A"))
    named = [
        with_facts(s, circumstances=replace(s.circumstances, probe=text, probe_names=(name,)))
        for s, text, name in zip((first, second), ("SN77", "SN77-A / SN77"), names, strict=True)
    ]
    assert len({r.placement for r in put_together(named)}) == 1
    apart = [named[0], with_facts(second, circumstances=replace(second.circumstances, probe="Q"))]
    assert len({r.placement for r in put_together(apart)}) == 2


def test_a_compensation_cycle_cuts_the_trend(worn):
    cut = [
        checkpoint("a", 0.0, 1),
        checkpoint("b", 1000.0, 2),
        checkpoint("c", 2000.0, 3, answers={"since_cycle_h": "300"}),
    ]
    series = {s.name: s for s in comparison_of(cut, facts=FACTS).trend}
    assert [p.segment for p in series["white.retention"].points] == [0, 0, 1]


def test_hours_that_overlap_are_told_wherever_they_do_and_once():
    about = {"hours_kind": "estimated", "hours_low": 1600.0, "hours_high": 2400.0}
    there = [
        checkpoint("a", 0.0, 1),
        checkpoint("b", 2000.0, 2, **about),
        checkpoint("c", 2300.0, 3),
        checkpoint("d", 5000.0, 4),
    ]
    said = "c at 2300 h overlaps b at 1600 to 2400 h"
    assert sum(said in one for one in comparison_of(there, facts=FACTS).sentences) == 1
    # Of a pair it is said as what differed.
    pair = comparison_of(there[:3], facts=FACTS)
    assert not any("overlaps" in one for one in pair.sentences)
    assert " ".join(lines(pair)).count("overlaps b at 1600 to 2400 h") == 1


def failed(table, flag="low-light"):
    nothing = np.full(len(table), np.nan)
    return replace(table, X=nothing, Y=nothing, Z=nothing, flags=np.full(len(table), flag))


def test_a_panel_that_gives_no_light_any_more_is_told_first(worn):
    dead = subject(failed(read(seed=4)), "dead", 5000.0, METER)
    found = comparison_of([*worn, dead], facts=FACTS)
    said = found.sentences[0]
    assert said.startswith("'dead' (5000 h of use) was read, and none of its readings can be used (")
    assert "failed); it is not compared: either the panel gave no light by then, or the probe saw none" in said
    assert [end.name for end in found.checkpoints] == ["first", "second", "third"]
    assert "'dead' holds no usable readings and is not compared." in found.pairs[0].not_compared
    assert comparison_of([dead], facts=FACTS).sentences == (said,)
    assert "dead" not in comparison_of([*worn, dead], facts=FACTS, until="third").sentences[0]

    unlit = read(seed=4)
    unlit = replace(unlit, X=unlit.X * 1e-6, Y=unlit.Y * 1e-6, Z=unlit.Z * 1e-6)
    dark = subject(unlit, "dark", 5000.0, METER)
    said = comparison_of([*worn, dark], facts=FACTS).sentences[0]
    assert said.startswith("'dark' (5000 h of use) was read, and none of ")
    assert " bright patches shows light (at most " in said


def test_readings_that_failed_by_hand_are_not_called_a_dead_panel(worn):
    off = subject(failed(read(seed=4), "disturbed"), "off", 5000.0, METER)
    said = comparison_of([*worn, off], facts=FACTS).sentences[0]
    assert said.endswith("disturbed); it is not compared.")


def test_a_zone_that_no_checkpoint_has_read_is_said_with_what_to_do(worn):
    assert comparison_of(worn, facts=FACTS).unread_zones == ""
    drawn = (*ZONES, Zone("route-line", Rect(0, 300, 1000, 8), (500, 304), "chart"))
    said = comparison_of(worn, facts=replace(FACTS, zones=drawn)).unread_zones
    assert said.startswith("route-line is drawn in panel.toml and no checkpoint has read it")
    assert "'panelwear inspect' with --sequence zones" in said
    found = comparison_of(worn[1:2], facts=replace(FACTS, zones=(*drawn, replace(drawn[-1], name="logo"))))
    assert found.unread_zones.startswith("route-line and logo are drawn in panel.toml and no checkpoint has read them")
    assert " ".join(lines(found)).count("route-line and logo are drawn") == 1
    assert comparison_of(worn).unread_zones == ""


def test_the_trend_begins_at_the_baseline_and_holds_the_truth(found):
    series = {s.name: s for s in found.trend}
    blue = series["blue.retention"]
    assert [p.hours for p in blue.points] == [0.0, 2000.0, 4000.0]
    assert blue.points[0].value == 100.0
    for point, true in zip(blue.points[1:], (93.0, 88.0), strict=True):
        assert point.low < true < point.high
    assert {"white.Y", "red.Y", "white.u_prime", "white.cct", "white.duv", "zone/list", "green.relative"} <= set(series)
    seen = series["white.Y"].seen()
    assert seen[0].log_kept == 0.0
    assert seen[2].log_kept == pytest.approx(math.log(0.9192), abs=0.02)
    # Without the calibration that all share: 0.5 % of session and 0.1 % of placement.
    assert seen[0].u == pytest.approx(0.0052, rel=0.3)


def test_every_table_goes_through_csv_and_json(found):
    tables = tables_of(found)
    assert list(tables) == [
        "changes", "differences", "not-compared", "sub-pixels", "zones", "zone-colours", "by-eye", "trend", "figures",
        "codes", "remarks", "zone-forecasts", "deciding",
    ]  # fmt: skip
    text = json.dumps(json_of(found, {"first": [{"name": "peak"}]}), allow_nan=False)
    assert json.loads(text)["verdict"] == list(found.sentences)
    for name, table in tables.items():
        read_back = list(csv.DictReader(io.StringIO(table.csv(), newline="")))
        assert len(read_back) == len(table.rows), name
        assert all(c.description for c in table.columns)
    changes = list(csv.DictReader(io.StringIO(tables["changes"].csv(), newline="")))
    row = next(r for r in changes if r["figure"] == "white.Y" and r["since"] == "baseline")
    assert row["unit"] == "%"
    assert row["verdict"] == "changed"
    assert "session scale" in row["uncertainties"]
    assert "calibration scale" not in row["uncertainties"]
    figures = tables["figures"]
    assert len(figures.rows) > 40
    assert not any("verdict" in c.name for c in figures.columns)


def test_the_terminal_shows_units_and_uncertainties(found):
    text = "\n".join(lines(found))
    assert "demo: 3 checkpoints, 0 h to 4000 h of use" in text
    assert "Since the baseline: first (0 h) to third (4000 h)" in text
    assert "Since last time: second (2000 h) to third (4000 h)" in text
    assert "cd/m²" in text
    assert not re.search(r"\bnan\b|\binf\b", text)
    assert max(map(len, text.splitlines())) < 400


def test_one_checkpoint_and_one_figure_are_told_in_the_singular(found):
    alone = comparison_of([checkpoint("a", 0.0, 1)], panel="demo", facts=FACTS)
    assert lines(alone)[0] == "demo: 1 checkpoint, 0 h of use"
    pair = found.pairs[0]
    one = next(row for row in pair.rows if row.name == "white.Y")
    what = verdict_of([replace(pair, rows=(one,))])[3]
    assert what.startswith("1 of 1 figure changed by an amount that matters: white luminance")
    undecided = replace(one, judged=replace(one.judged, verdict="undecided"))
    what = verdict_of([replace(pair, rows=(undecided,))])[3]
    assert "Not even the one figure that was tested changed beyond the uncertainty" in what
    assert what.endswith("; 1 stays undecided.")


@pytest.mark.parametrize(("share", "named"), [(0.97, True), (0.004, False)])
def test_the_verdict_names_flags_of_more_than_hardly_any_reading(worn, share, named):
    late = replace(worn[0].circumstances, flagged={"not-settled": Flagged(share)})
    told = comparison_of([worn[1], with_facts(worn[0], circumstances=late)], facts=FACTS)
    assert ("not yet steady at third" in told.sentences[4]) is named
    assert "  Flagged: the panel was not yet steady at third" in "\n".join(lines(told))


def test_one_checkpoint_can_have_no_change_but_its_zones_are_told():
    found = comparison_of([checkpoint("a", 0.0, 1, zones={"list": -0.05})], panel="demo", facts=FACTS)
    assert found.pairs == ()
    assert found.sentences[0] == "There is one checkpoint, the baseline a (0 h of use): nothing can have changed yet."
    assert found.sentences[1].startswith("list: −5.")
    assert "against 'chart' as it stands. Taken for wear, that is −5." in found.sentences[1]
    assert found.sentences[1] in lines(found)
    assert tables_of(found)["zones"].rows
    with pytest.raises(UsageError, match="no checkpoint"):
        comparison_of([])


def test_up_to_an_earlier_checkpoint_nothing_later_is_counted(worn):
    found = comparison_of(worn, panel="demo", facts=FACTS, until="first")
    assert found.sentences[0] == (
        "first (0 h of use) is the baseline, the first of 3 checkpoints: there is no earlier one to compare."
    )
    assert lines(found)[0] == "demo: 1 checkpoint, 0 h of use"
    assert {row[2] for row in tables_of(found)["zones"].rows} == {"first"}
    found = comparison_of(worn, panel="demo", facts=FACTS, until="second")
    assert lines(found)[0] == "demo: 2 checkpoints, 0 h to 2000 h of use"


def test_a_forecast_up_to_an_earlier_checkpoint_counts_from_there():
    kept = [math.exp(-((h / 20_000) ** 0.75)) for h in (0, 1000, 2000, 3000, 4000)]
    quiet = MeterTerms(session_scale=0.001, session_xy=0.0, placement=0.0, dark_noise_cd_m2=0.0)
    dates = ("2026-01-01", "2026-05-01", "2026-09-01", "2027-01-01", "2029-01-01")
    panels = [
        subject(read((k,) * 3), f"c{i}", 1000.0 * i, quiet, date=d, answers={"since_cycle_h": "99999"})
        for i, (k, d) in enumerate(zip(kept, dates, strict=True))
    ]
    found = comparison_of(panels, until="c3")
    assert found.hours_a_day() == pytest.approx(3000 / 365)
    low = found.forecasts(0.5)["white"].low_h
    # As it is printed: rounded down to two digits, counted from the baseline at 0 h.
    days = (float(f"{low - 10 ** (math.floor(math.log10(low)) - 1) / 2:.1e}") - 3000) / (3000 / 365)
    assert f"that is {days:.0f} days" in sentences_of(found, 0.5)[0]


def test_a_zone_only_the_later_checkpoint_read_is_told_all_the_same():
    then = checkpoint("a", 0.0, 1, zones={"list": 0.0})
    now = checkpoint("b", 500.0, 2, zones={"list": -0.03, "badge": 0.04})
    found = comparison_of([then, now], facts=FACTS)
    zones = {z.zone: z for z in found.pairs[0].zones}
    assert list(zones) == ["list", "badge"]
    assert zones["list"].change is not None
    assert zones["badge"].change is None
    assert zones["badge"].now.value == pytest.approx(4.0, abs=0.6)
    assert any("badge: taken for wear, that is +" in line for line in lines(found))


def test_a_forecast_is_told_in_hours_and_on_the_calendar():
    kept = [math.exp(-((h / 60_000) ** 0.75)) for h in (0, 2000, 4000, 6000, 8000, 10000)]
    dates = ("2026-01-01", "2026-06-01", "2026-11-01", "2027-04-01", "2027-09-01", "2028-02-01")
    quiet = MeterTerms(session_scale=0.001, session_xy=0.0, placement=0.0, dark_noise_cd_m2=0.0)
    panels = [
        subject(read((k,) * 3), f"c{i}", 2000.0 * i, quiet, date=d, answers={"since_cycle_h": "99999"})
        for i, (k, d) in enumerate(zip(kept, dates, strict=True))
    ]
    found = comparison_of(panels)
    # 30 % are reached at 60 000 h x (-ln 0.7)^(4/3).
    true_h = 60_000 * (-math.log(0.7)) ** (4 / 3)
    one = found.forecasts(0.30)["white"]
    assert one.low_h < true_h < one.high_h
    assert found.hours_a_day() == pytest.approx(10_000 / 761, rel=1e-6)
    said = sentences_of(found, 0.30)
    assert [line.partition(":")[0] for line in said] == ["white", "red", "green", "blue"]
    assert "At 13.14 h a day that is" in said[0]
    # 2000 h in the 153 days from 1 September to 1 February.
    assert "in 153 days (5.0 months), 13.1 h a day" in "\n".join(lines(found))
