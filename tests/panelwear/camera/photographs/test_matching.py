"""Photographs find their shots by order, kind, colour and light."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from panelwear.camera.photographs.looks import Look
from panelwear.camera.photographs.matching import in_order, matched
from panelwear.camera.photographs.photograph import Taken
from panelwear.camera.shots import Shot

SHOTS = (
    Shot("title-card", "title-card"), Shot("dots", "dots"), Shot("black", "black"),
    Shot("grey-20cd", "field", (80.0,) * 3, 20.0), Shot("grey-120cd", "field", (180.0,) * 3, 120.0),
    Shot("red-c128", "field", (128.0, 0.0, 0.0)), Shot("red-c200", "field", (200.0, 0.0, 0.0)),
    Shot("dots-end", "dots"), Shot("even-surface", "even-surface"),
)  # fmt: skip
FRAMES = {"title-card": 1, "dots": 2, "black": 2, "grey-20cd": 2, "grey-120cd": 2, "red-c128": 2, "red-c200": 2,
          "dots-end": 2, "even-surface": 2}  # fmt: skip
LIGHT = {"grey-20cd": 20, "grey-120cd": 120, "red-c128": (128 / 255) ** 2.2 * 50, "red-c200": (200 / 255) ** 2.2 * 50}


def look(name: str, shots=SHOTS) -> Look:
    shot = next(one for one in shots if one.name == name)
    is_field = shot.kind == "field"
    return Look(shot.kind, shot.channel if is_field else None, LIGHT[name] * 7.3 if is_field else None)


def row(*names: str) -> list[Look]:
    return [look(name) for name in names]


WHOLE = [name for name, count in FRAMES.items() for _ in range(count)]


def shots_of(looks, said=None):
    return [one.shot for one in matched(looks, range(len(looks)), SHOTS, FRAMES, said or {})]


def test_a_whole_shoot_finds_its_shots():
    assert shots_of(row(*WHOLE)) == WHOLE
    assert all(one.is_sure for one in matched(row(*WHOLE), range(len(WHOLE)), SHOTS, FRAMES, {}))


@pytest.mark.parametrize("gone", ["dots-end", "black", "even-surface", "title-card"])
def test_a_shot_that_was_not_taken_is_left_out(gone):
    there = [name for name in WHOLE if name != gone]
    assert shots_of(row(*there)) == there


def test_more_and_fewer_frames_than_asked_for_stay_with_their_shot():
    there = ["title-card", "dots", "black", "black", "black", "grey-20cd", *["grey-120cd"] * 5, "red-c128", "red-c200"]
    assert shots_of(row(*there)) == there


def test_fields_in_the_wrong_order_are_not_sure():
    there = ["dots", "grey-120cd", "grey-120cd", "grey-20cd", "grey-20cd", "red-c128", "red-c200"]
    found = matched(row(*there), range(len(there)), SHOTS, FRAMES, {})
    assert not all(one.is_sure for one in found)


def test_a_grey_that_may_be_either_is_not_sure_until_it_is_said():
    there = ["dots", "black", "grey-20cd", "grey-20cd"]
    found = matched(row(*there), range(4), SHOTS, FRAMES, {})
    assert [one.is_sure for one in found] == [True, True, False, False]
    found = matched(row(*there), range(4), SHOTS, FRAMES, {2: "grey-20cd", 3: "grey-20cd"})
    assert all(one.is_sure for one in found)


def untold(*names: str) -> list[Look]:
    """As ``row``, by files that do not tell how long they were exposed."""
    return [replace(one, brightness=None) for one in row(*names)]


def test_without_exposures_the_count_tells_fields_of_one_colour_apart():
    assert shots_of(untold(*WHOLE)) == WHOLE
    assert all(one.is_sure for one in matched(untold(*WHOLE), range(len(WHOLE)), SHOTS, FRAMES, {}))


def test_without_exposures_a_frame_too_few_leaves_its_colour_unclear():
    there = [name for number, name in enumerate(WHOLE) if number != WHOLE.index("grey-20cd")]
    found = matched(untold(*there), range(len(there)), SHOTS, FRAMES, {})
    assert [name for name, one in zip(there, found, strict=True) if not one.is_sure] == ["grey-20cd"] + 2 * [
        "grey-120cd"
    ]
    first = there.index("grey-20cd")
    said = {first: "grey-20cd", first + 1: "grey-120cd", first + 2: "grey-120cd"}
    assert all(one.is_sure for one in matched(untold(*there), range(len(there)), SHOTS, FRAMES, said))


def test_what_a_person_said_is_taken():
    there = ["title-card", "dots", "dots", "black"]
    looks = [*row(*there), Look(None)]
    assert shots_of(looks, {4: None, 2: "dots-end"}) == ["title-card", "dots", "dots-end", "black", None]
    assert not matched(looks, range(5), SHOTS, FRAMES, {})[4].is_sure


def test_order_is_by_time_and_by_counted_names_where_there_is_none():
    start = datetime(2026, 2, 3, 18)
    late = [Look("dots", taken=Taken(at=start + timedelta(seconds=9 - n))) for n in range(3)]
    assert in_order(late, ["a", "b", "c"]) == [2, 1, 0]
    assert in_order([Look("dots")] * 3, ["x10.dng", "x9.dng", "x1.dng"]) == [2, 1, 0]
