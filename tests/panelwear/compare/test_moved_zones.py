"""A zone that was moved between two checkpoints: said once, and its change left out."""

from __future__ import annotations

import pytest

from panelwear.compare.comparing import comparison_of
from panelwear.folder.zone_places import ZonePlace, as_recorded, places_of, recorded_too
from patterns.frame import Rect
from sequences.model import Zone
from tests.panelwear.compare.panels import FACTS, NOTHING, read, subject, with_facts

OLD = ZonePlace(Rect(850, 20, 100, 50), (900.0, 45.0))
NEW = ZonePlace(Rect(700, 20, 100, 50), (750.0, 45.0))
LIST = ZonePlace(Rect(0, 0, 200, 500), (100.0, 250.0))
CHART = ZonePlace(Rect(0, 0, 1000, 500), (500.0, 250.0))


def compared(then, now):
    zones = {"list": 0.0, "badge": 0.0}, {"list": 0.0, "badge": -0.2}
    ends = (
        with_facts(subject(read(zones=drawn), name, hours, NOTHING), zone_places=places)
        for drawn, name, hours, places in zip(zones, ("a", "b"), (0.0, 1000.0), (then, now), strict=True)
    )
    (pair,) = comparison_of(tuple(ends), panel="demo", facts=FACTS).pairs
    return pair, [one for one in pair.not_compared if "was moved" in one]


def changes(pair):
    return {z.zone for z in pair.zones if z.change is not None}


def test_a_moved_zone_is_named_with_its_places_and_its_change_is_left_out():
    same = {"list": (LIST,), "chart": (CHART,)}
    pair, said = compared({**same, "badge": (OLD,)}, {**same, "badge": (NEW,)})
    assert said == [
        "'badge' was moved from 850,20 100 x 50 px (probe at 900,45) at a to 700,20 100 x 50 px (probe at 750,45) "
        "at b: these are other pixels, so its change is not told; move it back with 'panelwear zones', or give it "
        "another name there to begin a new history."
    ]
    assert changes(pair) == {"list"}
    (alone,) = (z for z in pair.zones if z.zone == "badge")
    assert alone.now.value == pytest.approx(-20.0, abs=0.2)
    assert not [one for one in pair.not_compared if "badge" in one and one not in said]


def test_a_moved_reference_leaves_out_every_zone_that_was_read_against_it():
    there = ZonePlace(CHART.rect, (520.0, 250.0))
    pair, said = compared({"chart": (CHART,), "list": (LIST,)}, {"chart": (there,), "list": (LIST,)})
    assert len(said) == 1 and said[0].startswith("'chart' was moved")
    assert changes(pair) == set()


@pytest.mark.parametrize("then", [{}, {"badge": (NEW,)}])
def test_a_zone_that_lies_where_it_lay_or_of_which_nothing_is_known_is_compared(then):
    pair, said = compared(then, {"badge": (NEW,)})
    assert said == []
    assert changes(pair) == {"list", "badge"}


def test_a_zone_that_only_one_checkpoint_read_is_not_called_moved():
    now = with_facts(subject(read(zones={"list": 0.0}), "b", 1000.0, NOTHING), zone_places={"badge": (NEW,)})
    then = with_facts(subject(read(zones={"list": 0.0, "badge": 0.0}), "a", 0.0), zone_places={"badge": (OLD,)})
    (pair,) = comparison_of((then, now), panel="demo", facts=FACTS).pairs
    assert not [one for one in pair.not_compared if "was moved" in one]


def test_a_zone_that_was_moved_and_moved_back_inside_a_checkpoint_counts_as_moved():
    _, said = compared({"badge": (OLD, NEW)}, {"badge": (OLD,)})
    assert "(probe at 900,45), then 700,20 100 x 50 px (probe at 750,45) at a to 850,20" in said[0]


def test_records_hold_where_zones_lie_and_a_resumed_session_adds_what_was_moved_meanwhile():
    badge, moved = Zone("badge", OLD.rect, OLD.probe_at_px, "chart"), Zone("badge", NEW.rect, NEW.probe_at_px, "chart")
    begun = as_recorded([badge])
    assert begun == [{"name": "badge", "rect_px": [850, 20, 100, 50], "probe_at_px": [900.0, 45.0]}]
    assert recorded_too(begun, [badge]) == begun
    assert places_of([{"zones": recorded_too(begun, [moved])}, {}]) == {"badge": (OLD, NEW)}
