"""Targets answered from a comparison, for this panel's use and for others'."""

import math
import re
from dataclasses import replace

import pytest

from panelwear.compare.comparing import comparison_of
from panelwear.errors import UsageError
from panelwear.forecast.answers import Answer, Foretold, foretold
from panelwear.forecast.targets import Target, target_of
from panelwear.forecast.told import halving, parts_of, sentences_of, table_of
from panelwear.forecast.uses import OWN, use_of
from panelwear.telling.layout import text_of
from panelwear.uncertainty.formatting import with_uncertainty
from panelwear.uncertainty.meter import MeterTerms
from tests.panelwear.compare.panels import FACTS, read, subject

QUIET = MeterTerms(session_scale=0.001, session_xy=0.00005, session_filters=0, placement=0.0, dark_noise_cd_m2=0.0)
DATES = ("2026-01-01", "2026-06-01", "2026-11-01", "2027-04-01", "2027-09-01", "2028-02-01")


@pytest.fixture(scope="module")
def worn():
    """Return a panel whose blue goes fastest and whose list darkens, read over 10 000 h."""
    kept = [tuple(math.exp(-((h / tau) ** 0.8)) for tau in (80_000, 60_000, 40_000)) for h in range(0, 10_001, 2000)]
    panels = [
        subject(
            read(one, zones={"list": -0.004 * i, "badge": 0.0}, seed=60 + i, noise=0.0002, placement=0.0002),
            f"c{i}", 2000.0 * i, QUIET, date=DATES[i], answers={"since_cycle_h": "99999"},
        )
        for i, one in enumerate(kept)
    ]  # fmt: skip
    return comparison_of(panels, panel="demo", facts=FACTS)


def asked(found, *said, uses=()):
    return foretold(found, [target_of(one, ("list", "badge")) for one in said], [use_of(one) for one in uses])


def test_every_kind_of_target_is_answered(worn):
    found = asked(worn, "blue 50 %", "peak 70 %", "list contrast 4 %", "badge contrast 4 %", "white shift 0.02")
    blue, peak, list_, badge, white = found.answers
    # exp(-(T / 40 000)^0.8) = 0.5: T = 40 000 h x ln(2)^(1 / 0.8).
    assert blue.low_h < 40_000 * math.log(2) ** 1.25 < blue.high_h
    assert peak.is_ahead and white.is_ahead
    # 0.4 % every 2000 h, straight on: 4 % at 20 000 h.
    assert list_.low_h < 20_000 < list_.high_h
    assert badge.said == "bound"
    assert badge.low_h > list_.low_h


def test_the_command_compare_says_the_same_as_this_one(worn):
    (blue,) = asked(worn, "blue 70 %").answers
    line = next(one for one in sentences_of(worn, 0.3) if one.startswith("blue: "))
    assert line.startswith(f"blue: {blue.sentence.partition(': ')[2]}")


def test_what_is_there_now_is_what_a_comparison_says(worn):
    (pair, *_), (list_, seen, blue) = worn.pairs, asked(worn, "list contrast 4 %", "list visible", "blue 50 %").answers
    zone = next(one for one in pair.zones if one.zone == "list")
    assert f"({with_uncertainty(zone.now, signed=True)} now)" in list_.sentence
    # Visibility is told on the grey nearest to 100 cd/m², which is not the mean over all of them: named with its light.
    (grey,) = [c for c in zone.colours if (c.hue, c.level) == (zone.seen_at.hue, zone.seen_at.level)]
    on = f"({with_uncertainty(grey.change.after, signed=True)} now on a grey of {grey.reference_cd_m2:.3g} cd/m²"
    assert on in seen.sentence
    kept = next(c.retention for c in pair.sub_pixels.channels if c.hue == "blue")
    lost = with_uncertainty(replace(kept, value=100 - kept.value))
    assert f"({lost} lost now)" in blue.sentence


def test_where_nothing_is_asked_for_sensible_targets_are(worn):
    found = foretold(worn, ())
    kinds = [(one.target.kind, one.target.of) for one in found.answers]
    first = [("kept", "white"), ("shift", "white"), ("visible", "list"), ("visible", "badge")]
    # The list is visible already: its next round contrast is asked for too.
    assert kinds == [*first, ("contrast", "list")]


def test_what_was_not_read_is_refused(worn):
    (found,) = foretold(worn, [Target("contrast", "quay", 3.0, "quay contrast 3 %")]).answers
    assert found.said == "refused"
    assert "the baseline and the newest checkpoint do not both tell it" in found.sentence
    assert "it takes 4 checkpoints that do, the first one among them" in found.sentence
    assert "'panelwear inspect DIR --sequence zones' reads every zone that has a reference" in found.sentence
    assert "a zone without one has no contrast" in found.sentence


@pytest.mark.parametrize("left_out", [0, 5])
def test_a_figure_that_one_end_did_not_tell_is_no_forecast_from_the_others(worn, left_out):
    short = tuple(
        replace(s, points=s.points[:left_out] + s.points[left_out + 1 :])
        if s.name in {"blue.Y", "white.u_prime"}
        else s
        for s in worn.trend
    )
    found = replace(worn, trend=short)
    blue, shift, peak = asked(found, "blue 50 %", "white shift 0.02", "peak 70 %").answers
    assert blue.said == shift.said == "refused" and peak.is_ahead
    assert "do not both tell it" in blue.sentence and "do not both tell it" in shift.sentence
    assert "blue: No forecast: the baseline and the newest checkpoint do not both tell it." in sentences_of(found, 0.3)


def test_what_was_read_too_late_or_once_is_refused_with_what_to_do():
    panels = [
        subject(read(zones={"list": -0.003} if i else {}, seed=i), f"c{i}", 900.0 * i, QUIET, date=DATES[i])
        for i in range(4)
    ]
    late = asked(comparison_of(panels, facts=FACTS), "list visible").answers[0].sentence
    assert "list was not read at the baseline in a way that compares, and a contrast is drawn on from there" in late
    once = comparison_of(panels[:1], facts=FACTS)
    for said, reads in (("peak 90 %", "checkpoint"), ("white shift 0.004", "checkpoint"), ("list visible", "zones")):
        sentence = asked(once, said).answers[0].sentence
        assert "there is one checkpoint" in sentence and f"--sequence {reads}'" in sentence


BOUND = Answer(target_of("peak 80 %", ()), "bound", 3600.0, math.inf, math.nan, "peak 80 %: not before 3600 h of use.")
BOTH = replace(BOUND, said="interval", high_h=7200.0)


def test_rows_are_hours_days_and_months_for_each_use():
    uses = ("8h/day", "8h x 5d/week", "4h/day", "24/7", "half my hours", "half my brightness")
    found = Foretold("demo", 0.0, 3000.0, 10.0, (BOTH,), tuple(use_of(one) for one in uses))
    rows = {row.use.name: row for row in found.rows}
    months = {name: rows[name].months[0] for name in uses[:4]}
    assert months == pytest.approx({"8h/day": 14.78, "8h x 5d/week": 20.70, "4h/day": 29.57, "24/7": 4.93}, abs=0.005)
    assert rows[OWN.name].low_days == pytest.approx(360)
    assert rows[OWN.name].low_left_days == pytest.approx(60)
    assert rows["half my hours"].low_days == pytest.approx(720)
    # Half the brightness: 2^1.4 times the lower limit, 2^2 times the upper one.
    assert rows["half my brightness"].low_h == pytest.approx(3600 * 2**1.4)
    assert rows["half my brightness"].high_h == pytest.approx(7200 * 4)


def test_a_range_of_the_newest_hours_stays_one_and_its_unlucky_end_is_said():
    found = Foretold(
        "demo", 0.0, 3000.0, 10.0, (BOTH,), (use_of("6h/day"),),
        now_ends_h=(2700.0, 3300.0), own_ends_h_a_day=(9.0, 11.0),
    )  # fmt: skip
    own, six = found.rows
    assert (own.low_days, own.high_days) == pytest.approx((3600 / 11, 7200 / 9))
    assert (own.low_left_days, own.high_left_days) == pytest.approx((300 / 11, 4500 / 9))
    assert (six.low_days, six.low_left_days, six.high_left_days) == pytest.approx((600, 50, 750))
    assert "this panel's pace (9 to 11 h a day)" in " ".join(text_of(parts_of(found), 100).split())
    late = replace(found, begun_h=1500.0, begun_ends_h=(1400.0, 1600.0))
    assert "baseline at 1400 to 1600 h, not from new" in " ".join(text_of(parts_of(late), 100).split())


def test_whoever_divides_the_hours_printed_comes_to_the_days_and_months_printed():
    odd = replace(BOTH, low_h=4163.0, high_h=9871.0)
    found = Foretold("demo", 0.0, 3100.0, 11.989, (odd,), (use_of("half my hours"), use_of("half my brightness")))
    for row in text_of(parts_of(found), 200).splitlines()[3:6]:
        use, hours, days, months, left = re.split(" {2,}", row.strip())[1:]
        a_day = 11.99 / 2 if use == "half my hours" else 11.99
        slower = 4.0, 2.639  # half the brightness: 2^2 and 2^1.4
        for i in (0, 1):
            printed = float(re.findall(r"[\d.]+", hours)[i])
            assert float(re.findall(r"[\d.]+", days)[i]) == pytest.approx(printed / a_day, rel=5e-4, abs=0.5)
            assert float(re.findall(r"[\d.]+", months)[i]) == pytest.approx(printed / a_day / 30.436875, abs=0.06)
            own = (4100, 9900)[i] if use == "half my brightness" else printed
            ahead = (own - 3100) * (slower[1 - i] if use == "half my brightness" else 1)
            assert float(re.findall(r"[\d.]+", left)[i]) == pytest.approx(ahead / a_day / 30.436875, abs=0.06)
    assert "4100 to 9900 h" in text_of(parts_of(found), 200)


def test_a_limit_that_may_be_now_and_hours_of_anothers_use_before_now_are_explained():
    near = replace(BOTH, low_h=3000.0)
    said = " ".join(text_of(parts_of(Foretold("demo", 0.0, 3000.0, 8.0, (near,), ())), 100).split())
    assert "0.0 months from now: it may come at any time from the newest checkpoint on." in said
    assert "used so from new on" not in said
    brighter = Foretold("demo", 0.0, 3000.0, 8.0, (BOTH,), (use_of("twice my brightness"),))
    said = " ".join(text_of(parts_of(brighter), 100).split())
    assert "Hours of 'twice my brightness' are those of a panel that was used so from new on" in said
    assert "fewer than the 3000 h that this one has now" in said
    assert "0.0 months from now" not in said


@pytest.mark.parametrize(
    "said", ["2000 % of my brightness, 2000 % of my hours", "1 % of my brightness, 0.1h x 0.1d/week"]
)
def test_the_most_and_the_least_that_may_be_asked_for_are_answered_in_plain_numbers(said):
    found = Foretold("demo", 0.0, 3000.0, 1.0, (BOTH,), (use_of(f"{said}, 1 % of the bright content"),))
    assert all(math.isfinite(one.high_left_days) and one.low_days > 0 for one in found.rows)
    assert "e+" not in text_of(parts_of(found), 200) and "e-" not in text_of(parts_of(found), 200).split()


def test_more_of_ones_own_hours_than_a_day_has_are_refused(worn):
    with pytest.raises(UsageError, match=r"'twice my hours': that makes 26\.28 h a day, and a day has 24"):
        asked(worn, "list contrast 4 %", uses=("twice my hours",))


def test_the_question_asked_most_is_answered_in_words():
    found = Foretold("demo", 0.0, 3000.0, 8.0, (BOUND,), ())
    said = " ".join(text_of(parts_of(found), 100).split())
    assert "half as many hours a day" in said
    assert "twice the time: 29.6 months or more from new" in said
    assert "where this panel's pace (8 h a day) makes it 14.8 months or more." in said
    assert "no promise" in said
    assert "count from" not in said
    late = " ".join(text_of(parts_of(replace(found, begun_h=1460.0)), 100).split())
    assert "count from this panel's baseline at 1460 h, not from new" in late
    unknown = replace(found, own_h_a_day=math.nan)
    assert "is not known from its dates" in text_of(parts_of(unknown), 100)


def test_what_halving_buys_stands_in_three_lines_with_its_band():
    hours, brightness, content = halving()
    assert "2 times as long" in hours
    assert "3.2 times (2.6 to 4.0)" in brightness
    assert "1.9 times (1.8 to 2.0)" in content


def test_the_table_has_a_row_for_every_target_and_use():
    refused = replace(BOUND, said="refused", low_h=math.nan, high_h=math.nan)
    found = table_of(Foretold("demo", 0.0, 3000.0, 8.0, (BOUND, refused), (use_of("4h/day"),)))
    names = [column.name for column in found.columns]
    rows = [dict(zip(names, row, strict=True)) for row in found.rows]
    assert [row["use"] for row in rows] == ["this panel's own", "4h/day", ""]
    assert rows[0]["low_months"] == pytest.approx(14.8)
    assert rows[0]["high_h"] is None and rows[2]["low_h"] is None


def cut_panel(cycle_at, step):
    kept = [math.exp(-((h / 40_000) ** 0.8)) * (1 + step * (h > cycle_at)) for h in range(0, 10_001, 2000)]
    return comparison_of(
        [
            subject(
                read((one,) * 3, seed=i), f"c{i}", 2000.0 * i, QUIET, date=DATES[i],
                answers={"since_cycle_h": "500" if 0 < 2000.0 * i - cycle_at <= 2000 else "99999"},
            )
            for i, one in enumerate(kept)
        ]
    )  # fmt: skip


def test_a_forecast_goes_on_behind_a_compensation_cycle_and_says_so():
    found = cut_panel(cycle_at=4000, step=0.015)
    (peak,) = asked(found, "peak 60 %").answers
    # exp(-(T / 40 000)^0.8) x 1.015 = 0.6, solved by hand.
    assert peak.low_h < 40_000 * (math.log(1.015) - math.log(0.6)) ** 1.25 < peak.high_h
    assert "no further compensation cycle or setting cuts in" in peak.sentence
    assert "no further" not in asked(cut_panel(cycle_at=20_000, step=0.0), "peak 60 %").answers[0].sentence
