"""Zones that lost placements, or were read otherwise before, are never left out without a word."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from panelwear.compare.comparing import comparison_of
from panelwear.compare.comparison import Comparison
from panelwear.readings.table import ReadingTable
from panelwear.uncertainty.meter import MeterTerms
from tests.panelwear.compare.panels import FACTS, read, ready, subject
from tests.panelwear.telling.unbroken import lines

METER = MeterTerms()
THEN = read(seed=1, noise=0.001, zones={"list": 0.0, "badge": 0.0})
NOW = read(seed=2, noise=0.001, zones={"list": -0.05, "badge": 0.0})


def without(table: ReadingTable, *seats: str) -> ReadingTable:
    return table.where(~np.isin(table.pair, seats))


def compared(then: ReadingTable, now: ReadingTable) -> Comparison:
    return comparison_of(ready(subject(then, "a", 0, METER), subject(now, "b", 1000, METER)), facts=FACTS)


def text(found: Comparison) -> str:
    return "\n".join(lines(found))


def test_whole_quadruples_leave_nothing_to_say() -> None:
    assert compared(THEN, NOW).pairs[0].not_compared == ()


@pytest.mark.parametrize("seat", ["list.1", "list.2", "list.3", "list.4"])
def test_a_zone_with_three_of_four_placements_is_said(seat: str) -> None:
    own, other = ("1 placement", "2 placements") if seat in {"list.1", "list.4"} else ("2 placements", "1 placement")
    said = f"'list' is not compared: at b {own} on the zone and {other} on its reference hold usable readings"

    found = compared(THEN, without(NOW, seat))

    assert said in text(found)
    assert said in found.sentences[4]
    assert "no zone changed against its reference beyond the uncertainty" in found.sentences[0]
    assert found.sentences[0].endswith("Of 1 more zone there is no verdict.")
    assert said in text(compared(without(NOW, seat), THEN)).replace("at a ", "at b ")


def test_a_checkpoint_alone_says_it_too() -> None:
    alone = comparison_of(ready(subject(without(NOW, "list.4"), "b", 0, METER)), facts=FACTS)
    assert "'list' is not compared: at b 1 placement on the zone" in " ".join(alone.sentences)


def test_single_colours_that_lost_placements_are_said_and_the_zone_is_judged() -> None:
    lost = (NOW.pair == "list.4") & (NOW.patch == "zone/list/grey/c64/full")
    found = compared(THEN, NOW.where(~lost))
    assert "grey at drive level 64 of 'list' is not compared: at b 1 placement on the zone" in text(found)
    assert "list: contrast to reference" in text(found)
    assert found.pairs[0].zones_lost == ()


def test_another_number_of_placements_is_said() -> None:
    found = compared(THEN, without(NOW, "list.3", "list.4"))
    assert "'list' is not compared: a read it in 4 placements, b in 2." in text(found)
    assert "as its earlier reading does not compare, the uncertainty includes 2 %" in text(found)


def test_a_zone_that_was_read_in_another_geometry_has_an_earlier_reading() -> None:
    said = text(compared(THEN, replace(NOW, geometry_sha256=np.array(["other"] * len(NOW)))))
    assert "no earlier reading" not in said
    assert said.count("as its earlier reading does not compare") == 2
    assert "Both checkpoints were read alike" not in said
    new = text(compared(without(THEN, *(f"list.{i}" for i in range(1, 5))), NOW))
    assert new.count("with no earlier reading") == 1


def test_groups_of_patches_are_named_by_size_and_what_is_cut_is_counted() -> None:
    third = compared(THEN, replace(NOW, geometry_sha256=np.array(["other"] * len(NOW)))).sentences[4]
    assert "left out, as the patches differ: 9 patches of 'zone' are not compared" in third
    assert "4 patches of 'primary'" in third
    assert third.endswith("; and 3 more.")


def test_differences_that_are_not_named_are_counted() -> None:
    then = subject(THEN, "a", 0, METER, answers={"room_C": "20", "rest_h": "1", "brightness_limiter": "on"})
    now = subject(NOW, "b", 1000, METER, answers={"room_C": "28", "rest_h": "9", "brightness_limiter": "off"})
    found = comparison_of(ready(then, now), facts=FACTS)
    assert len(found.pairs[0].how.differences) == 4
    assert "; and 2 more" in found.sentences[4]
