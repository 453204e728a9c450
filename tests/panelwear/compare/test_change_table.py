"""The change table: what it may claim."""

import pytest

from panelwear.compare.change_table import change_table
from panelwear.compare.pairing import pair
from panelwear.figures.evidence import evidence_of
from tests.panelwear.compare.panels import NOTHING, SAME
from tests.panelwear.figures.handmade import Bench


def blacks(*lights, floor_cd_m2=0.01, screen_off=None, seed=1):
    """Return the row of black between checkpoints that read these luminances; probes are trusted from the floor on."""
    both = []
    for i, light in enumerate(lights):
        bench = Bench(seed + i, dark_noise=0.0002)
        bench.put()
        bench.read("field/centre/grey/c0/full", "black", light, n=8)
        if screen_off is not None and screen_off[i] is not None:
            bench.read("field/centre/grey/c0/full", "screen-off", screen_off[i], n=8)
        both.append(evidence_of(bench.table(), NOTHING, None, floor_cd_m2))
    (row,) = [r for r in change_table(pair(*both), SAME) if r.name == "black"]
    return row


def test_black_below_the_floor_is_a_bound_and_its_change_no_tighter_than_the_floor():
    row = blacks(0.002, 0.0023)
    assert (row.change.before.limit, row.change.after.limit) == ("<", "<")
    assert row.change.before.value == row.change.after.value == pytest.approx(0.01)
    assert row.judged.bound >= 0.01
    assert row.judged.verdict == "no change larger than"
    # Both below the floor, but by other scatter: still no change.
    assert blacks(0.002, 0.006).judged.verdict != "changed"


def test_black_that_rose_out_of_the_dark_has_changed():
    row = blacks(0.002, 0.08)
    assert row.change.before.limit == "<"
    assert row.change.after.value == pytest.approx(0.08, abs=0.001)
    assert row.judged.verdict == "changed"


def test_black_above_the_floor_is_compared_as_read():
    row = blacks(0.05, 0.05)
    assert row.change.before.limit == ""
    assert row.judged.bound < 0.001


def test_light_of_the_room_is_taken_off_on_both_sides_or_on_neither():
    row = blacks(0.06, 0.10, screen_off=(0.02, 0.06))
    assert row.change.step.value == pytest.approx(0.0, abs=0.001)
    assert row.change.after.value == pytest.approx(0.04, abs=0.001)
    # Of one side only: what was read is compared.
    row = blacks(0.06, 0.06, screen_off=(None, 0.02))
    assert row.change.step.value == pytest.approx(0.0, abs=0.001)
    assert row.change.after.value == pytest.approx(0.06, abs=0.001)
