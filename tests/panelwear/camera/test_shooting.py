"""A shoot from its first page to its last, by keys; broken off and gone on with; what speaks against a shot."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from panelwear.camera.qr_code import shoot_card
from panelwear.camera.shots import ShootLabel
from panelwear.errors import Stopped, UsageError
from panelwear.folder.shoots import ShootRecord, list_path, record_path, shoots_of
from panelwear.upkeep.check import check
from patterns.raster import raster
from tests.panelwear.camera.stand import NAMES, SMALL, Stand


@pytest.fixture
def stands(tmp_path: Path) -> Iterator[Callable[..., Stand]]:
    """Make a stand at the same panel's folder, as often as wanted."""
    made: list[Stand] = []

    def make(**wanted: Any) -> Stand:
        made.append(Stand(tmp_path / "harbour-desk", **wanted))
        return made[-1]

    yield make
    for one in made:
        one.close()


@pytest.fixture
def stand(stands: Callable[..., Stand]) -> Stand:
    return stands()


def stood_s(record: ShootRecord, name: str) -> float:
    (shot,) = [one for one in record.shots if one.name == name]
    assert shot.from_utc and shot.to_utc
    return (datetime.fromisoformat(shot.to_utc) - datetime.fromisoformat(shot.from_utc)).total_seconds()


def test_a_whole_shoot_by_return_alone(stand: Stand) -> None:
    record = stand.shooting().run()

    assert [one.name for one in record.shots] == [*NAMES]
    assert record.status == "done" and all(one.is_done for one in record.shots)
    assert stand.alone == ["label-card 0", "dot-grid 128", "field 0", "field 81", "field 183", "dot-grid 128"]
    assert [stood_s(record, name) for name in NAMES[:-1]] == pytest.approx([60.0] * 6, abs=0.1)
    (stored,) = shoots_of(stand.found.directory)
    assert (stored.shots, stored.status) == (record.shots, "done")
    assert list_path(stand.found.directory, "shoot-1").read_bytes() == SMALL
    assert check(stand.panel.directory).problems == ()
    assert stand.found.record["sessions"] == []


def test_nothing_but_the_field_stands_while_it_is_taken(stand: Stand) -> None:
    stand.shooting().run()
    note = stand.screen.note
    assert [card for card in note.cards if card is not None] == []
    assert len(note.pages) == 2 + len(NAMES)
    assert [one.room for one in note.pages] == ["dark"] * len(note.pages)


def test_the_record_has_what_is_needed_to_match_photographs(stand: Stand) -> None:
    record = stand.shooting().run()
    data = json.loads(record_path(stand.found.directory, "shoot-1").read_text(encoding="utf-8"))

    grey = next(one for one in data["shots"] if one["name"] == "grey-20cd")
    assert grey["codes"] == [81.0, 81.0, 81.0]
    assert (grey["target_cd_m2"], grey["level_basis"], grey["exposure_s"]) == (
        20,
        "assumed-response",
        pytest.approx(2.52, abs=0.01),
    )
    shown = {one.frame.fills[-1].codes[0]: one.frame_sha256 for one in stand.screen.note.shown if one.frame.fills}
    assert grey["frame_sha256"] == shown[81.0]
    assert data["screen"]["width_px"] == 960
    assert (record.seed, record.poses, record.refresh_hz) == (0, False, 60.0)
    card = stand.screen.note.shown[0].frame
    label = ShootLabel("harbour-desk", stand.found.name, "shoot-1", NAMES[1:])
    assert "shoot: shoot-1" in dict(card.shape)["text"]
    drawn = shoot_card((960, 540), label, str(dict(card.shape)["text"]).split("\n"))
    assert np.array_equal(raster(card), raster(drawn))


def test_each_page_says_what_to_set(stand: Stand) -> None:
    stand.shooting().run()
    pages = {
        one.title: " ".join(part.text for part in one.parts if hasattr(part, "text")) for one in stand.screen.note.pages
    }
    grey = pages["Photograph 4 of 7: grey-20cd"]
    for words in ("Grey of 20 cd/m² (drive level 81, by the assumed response). 4 frames.", "raw on", "f/8, ISO 100",
                  "2.5 s to begin with", "Whole periods at 60 Hz", "a little off", "remote", "50 to 80 %"):  # fmt: skip
        assert words in grey, words
    assert "black stood for 60 s, unchanged" in grey
    begin = pages["Photographing harbour-desk: 2026-02-03-h1460"]
    for words in (
        "7 photographs, 21 frames in all",
        "min",
        "light dose as less than 0.01 h",
        "grey-120cd, stands for about",
    ):
        assert words in begin, words


def test_a_field_that_stood_too_short_is_offered_once_more(stand: Stand) -> None:
    stand.stands_s[4] = 3.0  # four frames of 2.5 s
    record = stand.shooting().run()

    assert stand.alone[3:6] == ["field 81", "field 81", "field 183"]
    shot = next(one for one in record.shots if one.name == "grey-20cd")
    assert len(shot.before) == 1 and shot.note is None
    assert stood_s(record, "grey-20cd") == pytest.approx(60.0, abs=0.1)
    told = [
        part.text for page in stand.screen.note.pages for part in page.parts if getattr(part, "tone", "") == "warning"
    ]
    assert told == [
        "grey-20cd stood for 3.0 s; 4 frames of 2.5 s last 10 s. Once more, unless your exposures are shorter?"
    ]


def test_a_person_who_knows_better_goes_on(stand: Stand) -> None:
    stand.stands_s[4] = 3.0
    stand.keys["grey-120cd"] = ["page-down"]  # the remote's key goes on, whatever is chosen
    record = stand.shooting().run()
    shot = next(one for one in record.shots if one.name == "grey-20cd")
    assert stand.alone.count("field 81") == 1
    assert shot.before == () and str(shot.note).startswith("grey-20cd stood for 3.0 s")


def test_left_on_a_page_takes_the_shot_before_once_more(stand: Stand) -> None:
    stand.keys["grey-120cd"] = ["left", "return"]
    record = stand.shooting().run()
    assert stand.alone[2:6] == ["field 0", "field 81", "field 81", "field 183"]
    assert [len(one.before) for one in record.shots] == [0, 0, 0, 1, 0, 0, 0]


def test_going_back_two_steps_and_on_again(stand: Stand) -> None:
    stand.keys["grey-120cd"] = ["left"]
    stand.keys["grey-20cd"] = ["return", "left"]
    record = stand.shooting().run()
    assert stand.alone[2:6] == ["field 0", "field 81", "field 0", "field 183"]
    assert [len(one.before) for one in record.shots] == [0, 0, 1, 0, 0, 0, 0]
    assert "Photograph 5 of 7: grey-120cd" in stand.titles[-4:]


def test_left_while_a_field_stands_goes_back_and_keeps_nothing_of_it(stand: Stand) -> None:
    stand.keys["field 4"] = ["left"]
    record = stand.shooting().run()
    assert stand.alone[2:7] == ["field 0", "field 81", "field 0", "field 81", "field 183"]
    assert [len(one.before) for one in record.shots] == [0, 0, 1, 0, 0, 0, 0]


def test_a_field_nobody_ends_goes_dark_and_does_not_count(stand: Stand) -> None:
    stand.keys["field 4"] = ["f9"]
    stand.stands_s[4] = 10.0
    record = stand.shooting().run()
    assert stand.alone[3:5] == ["field 81", "field 81"]
    assert next(one for one in record.shots if one.name == "grey-20cd").before == ()
    said = [part.text for page in stand.screen.note.pages for part in page.parts if hasattr(part, "text")]
    assert [one for one in said if one.startswith("grey-20cd went dark by itself")]


def test_a_window_over_the_field_is_noticed(stand: Stand) -> None:
    def covered(frame: object) -> None:
        stand._frame(frame)  # type: ignore[arg-type]
        if len(stand.alone) == 4:
            stand.screen.cover("a calendar", after_s=5.0, for_s=5.0)

    stand.screen.on_frame = covered
    record = stand.shooting().run()
    assert stand.alone.count("field 81") == 2
    warned = [
        part.text for page in stand.screen.note.pages for part in page.parts if getattr(part, "tone", "") == "warning"
    ]
    assert warned == [
        "a calendar came over the pattern while grey-20cd stood: what the camera saw may not be the field. Once more?"
    ]
    assert next(one for one in record.shots if one.name == "grey-20cd").note is None


def test_who_has_no_even_surface_leaves_it_out(stand: Stand) -> None:
    stand.keys["even-surface"] = ["n"]
    record = stand.shooting().run()
    assert record.status == "done" and record.shots[-1].skipped and record.shots[-1].to_utc is None


@pytest.mark.parametrize("key", ["h", "?", "f1"])
def test_the_keys_are_shown_on_a_page_and_over_a_field(stand: Stand, key: str) -> None:
    stand.keys["black"] = [key]
    stand.keys["field 4"] = [key]
    record = stand.shooting().run()
    assert stand.titles.count("Keys") == 2
    assert stand.alone[3:5] == ["field 81", "field 81"], "the field comes back"
    assert record.status == "done" and next(one for one in record.shots if one.name == "grey-20cd").before == ()


def test_a_pause_goes_dim_and_the_field_comes_back_anew(stand: Stand) -> None:
    stand.keys["field 4"] = ["p"]

    def pressing(frame: object) -> None:
        stand._frame(frame)  # type: ignore[arg-type]
        if getattr(frame, "pattern", "") == "pause" and not paused:
            paused.append(frame)
            stand.screen.press("return", after_s=40.0)

    paused: list[object] = []
    stand.screen.on_frame = pressing
    record = stand.shooting().run()
    assert paused and stand.alone[3:5] == ["field 81", "field 81"]
    assert stood_s(record, "grey-20cd") == pytest.approx(60.0, abs=0.1), "its time begins after the pause"
    cards = [card for card in stand.screen.note.cards if card is not None]
    assert cards[0].lines[0] == "3 of 7 photographs taken"


@pytest.mark.parametrize("where", ["grey-20cd", "field 4"])
def test_escape_keeps_what_was_taken_and_the_next_time_goes_on(
    stand: Stand, stands: Callable[..., Stand], where: str
) -> None:
    stand.keys[where] = ["escape"]
    with pytest.raises(Stopped):
        stand.shooting().run()
    (record,) = shoots_of(stand.found.directory)
    assert (record.status, record.missing) == ("stopped", 3)
    assert stand.screen.frame_now.fills == ()

    again = stands()
    whole = again.shooting().run()
    assert again.titles[:2] == ["Photographing: shoot-1", "Photograph 4 of 7: grey-20cd"]
    assert again.alone == ["field 81", "field 183", "dot-grid 128"]
    assert (whole.shoot, whole.status) == ("shoot-1", "done")
    assert whole.shots[:3] == record.shots[:3]
    assert len(shoots_of(stand.found.directory)) == 1


def test_a_new_shoot_may_be_begun_instead(stand: Stand, stands: Callable[..., Stand]) -> None:
    stand.keys["black"] = ["escape"]
    with pytest.raises(Stopped):
        stand.shooting().run()
    again = stands()
    again.keys["shoot-1"] = ["n"]
    assert again.shooting().run().shoot == "shoot-2"
    assert [one.status for one in shoots_of(stand.found.directory)] == ["stopped", "done"]
    assert stands().shooting().run().shoot == "shoot-3", "nothing is left to go on with"


def test_another_screen_does_not_go_on(stand: Stand, stands: Callable[..., Stand]) -> None:
    stand.keys["black"] = ["escape"]
    with pytest.raises(Stopped):
        stand.shooting().run()
    path = record_path(stand.found.directory, "shoot-1")
    path.write_text(path.read_text(encoding="utf-8").replace('"width_px": 960', '"width_px": 1920'), encoding="utf-8")
    with pytest.raises(UsageError, match="begun on a screen of 1920 x 540"):
        stands().shooting().run()


def test_escape_before_the_first_shot_leaves_nothing_behind(stand: Stand) -> None:
    stand.keys["2026-02-03-h1460"] = ["escape"]
    shooting = stand.shooting()
    with pytest.raises(Stopped):
        shooting.run()
    assert not shooting.begun and not (stand.found.directory / "shoots").exists()


def test_poses_tell_how_to_move_the_camera(stands: Callable[..., Stand]) -> None:
    stand = stands(poses=True)
    record = stand.shooting().run()
    assert [one.name for one in record.shots if one.pose] == [
        f"{what}-pose{pose}" for pose in (1, 2, 3) for what in ("dots", "grey-120cd")]  # fmt: skip
    said = {page.title: page.parts[1].text for page in stand.screen.note.pages if "dots-pose" in page.title}  # type: ignore[union-attr]
    assert [one.split(",")[0] for one in said.values()] == [
        "Move the camera along", "Back to where it stood", "Back to where it stood"]  # fmt: skip


def test_with_nobody_there_it_goes_through_by_itself(stand: Stand) -> None:
    from panelwear.screen.operator import Unattended

    stand.bench.operator = Unattended(stand.bench.operator)
    stand.keys.update({f"field {n}": ["f9"] for n in range(1, 9)})
    record = stand.shooting(unattended=True).run()
    assert record.status == "done" and record.shots[-1].skipped
    assert stood_s(record, "grey-20cd") >= 4 * 2.5


def test_levels_out_of_reach_are_left_out_and_said(stands: Callable[..., Stand]) -> None:
    stand = stands(peak_cd_m2=100.0)
    assert "grey-120cd" not in [one.name for one in stand.plan.shots]
    assert stand.plan.notes == (
        "Grey of 120 cd/m² is out of this panel's reach, as far as that is known; it is left out.",
    )


def test_drive_levels_stand_where_nothing_is_known(stands: Callable[..., Stand]) -> None:
    folder = stands().panel.directory
    toml = (folder / "panel.toml").read_text(encoding="utf-8")
    (folder / "panel.toml").write_text(toml.partition("[response]")[0], encoding="utf-8")
    plan = stands().plan
    assert [one.name for one in plan.shots if one.kind == "field"] == ["grey-c82", "grey-c182"]
    assert {one.level_basis for one in plan.shots} == {"code"}
    assert plan.notes[0].startswith("Nothing is known of this panel's response")


def test_a_screen_too_small_for_the_card_is_refused_before_anything_is_kept(stand: Stand) -> None:
    stand.screen.facts = replace(stand.screen.facts, width_px=200, height_px=120)
    shooting = stand.shooting()
    with pytest.raises(UsageError, match="small: pattern label-card: a code of"):
        shooting.run()
    assert not shooting.begun and not (stand.found.directory / "shoots").exists()
