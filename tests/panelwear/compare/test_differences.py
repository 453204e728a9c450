"""What differed, its effect, and what then cancels."""

import pytest

from panelwear.compare.changes import COMMON
from panelwear.compare.differences import (
    CALIBRATED_SCALE,
    CALIBRATED_XY,
    LINEARITY_PER_DECADE,
    compare_circumstances,
)
from panelwear.figures.circumstances import Circumstances, ProbeName, circumstances_of
from panelwear.figures.flags import Flagged
from panelwear.figures.load import read_with
from panelwear.uncertainty.meter import MeterTerms

ALIKE = {
    "probe": "A1", "instrument": "scpi-colorimeter", "instrument_sha256": "i", "calibrated": "2026-01-01",
    "correction_sha256": "m", "screen": "1280 x 720 px", "cycles": 0, "software": "panelwear 0.1.0",
}  # fmt: skip
ANSWERS = {"brightness": "80", "picture_mode": "standard", "rest_h": "10", "room_C": "23", "room_lx": "0.1",
           "since_cycle_h": "600"}  # fmt: skip


def compared(answers=None, **other):
    then = Circumstances(name="a", hours=0.0, answers=ANSWERS, **ALIKE)
    now = Circumstances(name="b", hours=500.0, answers=ANSWERS | (answers or {}), **(ALIKE | other))
    return compare_circumstances(then, now)


def test_alike_means_that_the_calibration_cancels_and_nothing_is_said():
    how = compared()
    assert how.differences == ()
    assert how.common == COMMON
    assert how.mismatch == 0
    assert not how.cycle_between


def test_another_probe_costs_the_calibration_and_an_unstated_one_is_not_taken_for_perfect():
    how = compared(probe="B2")
    assert [d.topic for d in how.differences] == ["probe"]
    assert "A1" in how.differences[0].what
    assert "B2" in how.differences[0].what
    assert "zone contrasts compare" in how.differences[0].cost
    assert how.common == frozenset()
    # Two percent and 0.002 in x, y (k = 1): Brown & Ohno, NIST display colorimeter facility.
    assert how.meter(MeterTerms()).calibration_scale == CALIBRATED_SCALE == 0.02
    assert how.meter(MeterTerms()).calibration_xy == CALIBRATED_XY == 0.002
    assert how.meter(MeterTerms(calibration_scale=0.04)).calibration_scale == 0.04
    assert how.mismatch > 0


def test_a_new_calibration_costs_as_much_as_another_probe():
    how = compared(calibrated="2026-06-01")
    assert [d.topic for d in how.differences] == ["calibration"]
    assert how.common == frozenset()
    assert how.same_probe


def test_another_matrix_costs_nothing_as_one_serves_both():
    how = compared(correction_sha256="n")
    assert [d.topic for d in how.differences] == ["matrix"]
    assert how.differences[0].cost.startswith("none")
    assert how.common == COMMON


@pytest.mark.parametrize("key", ["brightness", "picture_mode"])
def test_another_setting_bars_everything_but_zones(key):
    how = compared({key: "other"})
    assert "was '" in how.differences[0].what
    assert "is now 'other'" in how.differences[0].what
    assert all(how.barred(kind) for kind in ("luminance", "colour", "balance", "form", "black"))
    assert not how.barred("zone")


def test_an_unanswered_question_is_no_difference():
    assert compared({"brightness": ""}).differences == ()


@pytest.mark.parametrize(
    ("answers", "other", "topic"),
    [
        ({"rest_h": "1"}, {}, "rest"),
        ({"room_C": "28"}, {}, "room"),
        ({"room_lx": "40"}, {}, "room"),
        ({"since_cycle_h": "200"}, {}, "compensation cycle"),
        ({"since_cycle_h": ""}, {"cycles": 2}, "compensation cycle"),
        ({"changed": "new cable"}, {}, "settings"),
        ({}, {"screen": "1920 x 1080 px"}, "screen"),
        ({}, {"software": "panelwear 0.2.0"}, "software"),
        ({}, {"instrument_sha256": "j"}, "instrument file"),
        ({}, {"probe": ""}, "probe not known"),
    ],
)
def test_each_difference_is_named_with_its_cost(answers, other, topic):
    how = compared(answers, **other)
    assert [d.topic for d in how.differences] == [topic]
    assert how.differences[0].cost
    assert how.cycle_between is (topic == "compensation cycle")


def test_two_cycles_are_counted():
    assert compared({"since_cycle_h": ""}, cycles=2).differences[0].what == "2 compensation cycles ran in between"


def test_a_panel_that_counts_no_cycles_is_said_to_be_unknown():
    then = Circumstances(hours=0.0, probe="A1")
    how = compare_circumstances(then, Circumstances(hours=900.0, probe="A1"))
    assert [d.topic for d in how.differences] == ["compensation not known"]


def test_light_in_the_room_bars_black_alone():
    how = compared({"room_lx": "40"})
    assert how.barred("black")
    assert not how.barred("luminance")


def test_a_record_is_read_with_all_its_sessions():
    session = {
        "probe": {"serial_as_stated": "S-7", "serial": "0", "instrument": "plain-lines", "calibrated": ""},
        "screen": {"width_px": 800, "height_px": 600, "scaled": True},
        "digests": {"correction": "abc"},
        "sequence": "spot",
    }
    other = {**session, "probe": {"serial_as_stated": "S-8", "serial": "S-8"}, "sequence": "zones"}
    record = {"hours": 12, "cycles": 1, "answers": {"brightness": 50}, "sessions": [session, other],
              "started_utc": "2026-02-03T10:00:00.000Z"}  # fmt: skip
    found = circumstances_of(record, "x")
    assert (found.hours, found.cycles, found.date, found.answers["brightness"]) == (12.0, 1, "2026-02-03", "50")
    assert found.probe == "S-7, S-8"
    assert found.screen == "800 x 600 px, scaled"
    assert found.sequences == ("spot", "zones")


def test_a_panel_that_was_not_steady_is_kept_in_mind_with_what_it_costs():
    (found,) = compared(flagged={"not-settled": Flagged(0.97)}).differences
    assert found.topic == "not-settled"
    assert found.what == "the panel was not yet steady at b (97 % of the readings)"
    assert "channels against each other carry what was left of the warm-up" in found.cost
    assert not found.bars


def test_flags_of_both_sides_are_told_together():
    then = Circumstances(name="a", probe="A1", cycles=0, flagged={"limiter": Flagged(0.02)})
    now = Circumstances(hours=500.0, probe="A1", cycles=0, flagged={"limiter": Flagged(0.004)})
    (found,) = compare_circumstances(then, now).differences
    assert found.what.endswith("at a (2 % of the readings) and 500 h (under 1 % of the readings)")
    assert not found.minor


def test_a_flag_on_hardly_any_reading_is_told_but_stays_out_of_the_verdict():
    (found,) = compared(flagged={"limiter": Flagged(0.002, ("loading/centre/grey/c255/w100",))}).differences
    assert found.what.endswith("at b (under 1 % of the readings: loading/centre/grey/c255/w100)")
    assert found.minor


def test_scaled_readings_are_told_once_and_another_size_still_is():
    scaled = {"flagged": {"scaled": Flagged(1.0)}, "screen": "1280 x 720 px, scaled"}
    assert [d.topic for d in compared(**scaled).differences] == ["scaled"]
    assert [d.topic for d in compared(**scaled | {"screen": "640 x 360 px, scaled"}).differences] == [
        "scaled",
        "screen",
    ]


def session_with(told="", stated="", instrument="scpi-colorimeter"):
    return {"probe": {"serial": told, "serial_as_stated": stated, "instrument": instrument}}


def used(*sessions, hours=0.0):
    return circumstances_of({"hours": hours, "cycles": 0, "sessions": list(sessions)}, f"h{hours:g}")


@pytest.mark.parametrize(
    ("before", "after", "same"),
    [
        (("SN77", ""), ("SN77", "SN77-A"), True),  # stated later
        (("SN77", "SN77-A"), ("SN77", ""), True),
        (("", "SN77-A"), ("SN77", "SN77-A"), True),  # told later
        (("", "SN77"), ("SN77", ""), True),  # stated, then told
        (("SN77", "label 1"), ("SN77", "label 2"), True),
        (("SN77", ""), ("SN78", ""), False),
        (("SN77", ""), ("SN7", ""), False),
        (("SN77", "A"), ("SN78", "A"), False),  # the person forgot to change what is stated
        (("", "A"), ("", "B"), False),
    ],
)
def test_a_probe_is_known_by_what_it_tells_or_by_what_is_stated(before, after, same):
    how = compare_circumstances(used(session_with(*before)), used(session_with(*after), hours=500.0))
    assert how.same_probe is same
    assert how.common == (COMMON if same else frozenset())
    assert [d.topic for d in how.differences] == ([] if same else ["probe"])


def test_two_probes_at_one_checkpoint_are_warned_of_in_whatever_order_they_came():
    a, b = session_with("A"), session_with("B")
    for then, now in ((used(a, b), used(b, a, hours=10.0)), (used(a), used(a, b, hours=10.0))):
        how = compare_circumstances(then, now)
        (found,) = how.differences
        assert found.what.startswith("more than one probe was used at one checkpoint (")
        assert "h10: scpi-colorimeter" in found.what
        assert how.common == frozenset()
    (found,) = compare_circumstances(used(a), used(a, session_with("A", instrument="keyboard"), hours=10.0)).differences
    assert found.what.startswith("more than one probe")


def test_sessions_that_know_more_or_less_of_one_probe_do_not_make_two():
    found = used(session_with("", "S"), session_with("T", ""), session_with("", ""), session_with("T", "S"))
    assert found.probes == (ProbeName("T", "S"),)
    assert found.probe == "S / T"
    assert compare_circumstances(found, used(session_with("T"), hours=5.0)).differences == ()


def test_a_matrix_goes_to_every_checkpoint_its_probe_read():
    known = [used(session_with("SN77")), used(session_with("SN7")), used(session_with()),
             used(session_with("SN77", "SN7-A"))]  # fmt: skip
    # Stated only at the last; at the first the probe told the same number as at the last.
    assert read_with("SN7-A", known) == (True, False, True, True)
    assert read_with("SN7", known) == (False, True, True, False)
    assert read_with("", known) == (True, True, True, True)


def test_another_probe_is_not_taken_for_perfectly_linear():
    other, same = compared(probe="B2"), compared()
    assert other.meter(MeterTerms()).linearity_per_decade == LINEARITY_PER_DECADE == 0.003
    assert other.meter(MeterTerms(linearity_per_decade=0.001)).linearity_per_decade == 0.001
    assert same.meter(MeterTerms()).linearity_per_decade == 0
    assert "an assumed 0.3 % a decade" in other.differences[0].cost


def test_ranges_of_hours_that_overlap_are_said_and_change_no_comparison():
    then = Circumstances(
        name="a", hours=400.0, hours_kind="estimated", hours_low=300.0, hours_high=500.0, answers=ANSWERS, **ALIKE
    )
    now = Circumstances(
        name="b",
        hours=550.0,
        hours_kind="estimated",
        hours_low=450.0,
        hours_high=650.0,
        answers=ANSWERS | {"since_cycle_h": "600"},
        **ALIKE,
    )
    how = compare_circumstances(then, now)
    assert [d.topic for d in how.differences] == ["hours"]
    assert how.differences[0].what.startswith("450 to 650 h overlaps a at 300 to 500 h: anything from none to 350 h")
    assert how.common == COMMON
