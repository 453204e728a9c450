"""Forms: typed values are checked at once, rows follow from others, and the command is what was filled in."""

from __future__ import annotations

import argparse
import importlib
from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from panelwear.archive.exporting import FORMATS
from panelwear.screen.contract import ScreenEvent
from panelwear.start import look_up
from panelwear.start.facts import PanelFacts, World
from panelwear.start.form import FormView
from panelwear.start.forms import slug
from panelwear.start.menu import First, PanelPage
from panelwear.start.state import Run, ShowWay, State, after, page_of
from sequences.shoots import shipped
from tests.panelwear.start.hand import DESK, WORLD, answers, click, filled, key, picked, typed, words

START = State(WORLD, (First(),))
PROBED = replace(DESK, link="keyboard")


def panel(facts: PanelFacts = DESK, world: World = WORLD) -> State:
    return State(replace(world, panels=(facts,)), (First(), PanelPage(facts.folder)))


def wish(state: State) -> Run:
    asked = state.wish.run if isinstance(state.wish, ShowWay) else state.wish
    assert isinstance(asked, Run), words(page_of(state))
    return asked


def understood(words: tuple[str, ...], module: str = "") -> argparse.Namespace:
    """Read words as the command line would."""
    parser = argparse.ArgumentParser()
    importlib.import_module(f"panelwear.commands.{module or words[0]}").add_arguments(parser)
    return parser.parse_args(words[1:])


def test_a_new_panel_takes_pixels_and_diagonal_from_the_monitor_and_the_folder_from_the_name() -> None:
    form = filled(click(START, "new:"), name="Desk left, 2nd")
    assert "27.0" in words(page_of(form))
    run = wish(click(form, "go"))
    read = understood(run.words)
    assert run.folder == "/home/them/panelwear/desk-left-2nd" == str(read.directory)
    assert (read.name, read.pixels, read.diagonal_inch) == ("Desk left, 2nd", "3840x2160", 27.0)


def test_another_monitor_fills_its_own_size_in() -> None:
    form = picked(click(START, "new:"), "monitor", "1")
    assert answers(form)["diagonal"] == ""
    form = filled(form, name="x", diagonal="23,8")
    assert understood(wish(click(form, "go")).words).diagonal_inch == 23.8


def test_left_and_right_go_round_the_choices() -> None:
    form = key(click(START, "new:"), "down")
    assert page_of(form).chosen == "monitor"
    assert "1: HDMI-1, 1920 x 1080" in words(page_of(key(form, "right")))
    assert page_of(key(form, "left")) == page_of(key(form, "right"))
    assert "0: DP-1, 3840 x 2160" in words(page_of(key(form, "right", "right")))


@pytest.mark.parametrize(
    ("stated", "said"),
    [
        ("30.7", "caution: the monitor tells 27.0 inch, 12 % less"),
        ("24", "caution: the monitor tells 27.0 inch, 12 % more"),
        ("28", "the monitor tells 27.0 inch"),
        ("", "the monitor tells 27.0 inch"),
        ("x", "the monitor tells 27.0 inch"),
        ("0", "the monitor tells 27.0 inch"),
    ],
)
def test_a_diagonal_that_is_not_the_monitors_has_a_caution_and_is_taken(stated: str, said: str) -> None:
    form = key(click(click(START, "new:"), "diagonal"), "backspace", control=True)
    row = page_of(typed(form, stated)).item("diagonal")
    assert row is not None
    assert row.note.split(";")[0] == said
    if said.startswith("caution"):
        run = wish(click(filled(form, diagonal=stated, name="x"), "go"))
        assert understood(run.words).diagonal_inch == float(stated)


def test_a_folder_that_was_typed_no_longer_follows_the_name() -> None:
    form = filled(click(START, "new:"), name="a")
    form = typed(key(click(form, "folder"), "backspace", control=True), "/data/mine")
    form = filled(form, name="b")
    assert wish(click(form, "go")).folder == "/data/mine"


@pytest.mark.parametrize(
    ("text", "fault"), [("x", "'x' is not a number; type a number of inch"), ("0.1", "0.1 inch is outside 3..300 inch")]
)
def test_what_is_typed_is_checked_when_its_row_is_left(text: str, fault: str) -> None:
    form = typed(click(click(START, "new:"), "diagonal"), text)
    assert fault not in words(page_of(form))
    for left in (key(form, "down"), key(form, "return"), click(form, "name")):
        assert fault in words(page_of(left))
    assert page_of(key(form, "return")).chosen == "diagonal"


def test_a_click_on_another_row_leaves_what_was_typed_where_it_was_typed() -> None:
    form = click(typed(click(click(START, "new:"), "diagonal"), "24"), "folder")
    assert (answers(form)["diagonal"], answers(form)["folder"], page_of(form).chosen) == ("24", "", "folder")


def test_the_mouse_over_a_row_does_not_take_what_is_typed() -> None:
    form = typed(click(click(START, "new:"), "diagonal"), "2")
    nudged = after(form, ScreenEvent("pointer-move", 0.0, x=1, y=1), lambda x, y: "folder")
    assert answers(typed(nudged, "4"))["diagonal"] == "24"


@pytest.mark.parametrize("leave", [lambda form: key(form, "escape"), lambda form: click(form, "leave")])
def test_what_was_typed_is_given_up_only_by_an_answer_of_its_own(leave: Callable[[State], State]) -> None:
    assert isinstance(leave(click(START, "new:")).view, First)
    asked = leave(filled(click(START, "new:"), name="desk"))
    assert page_of(asked).title == "Back?"
    assert [(row.label, row.value) for row in page_of(asked).items] == [("Stay", "s"), ("Back", "b")]
    for leaves in ("b", "escape"):
        assert isinstance(key(asked, leaves).view, First)
    for stays in (key(asked, "s"), key(asked, "return")):
        assert answers(stays)["name"] == "desk"
    assert answers(typed(key(asked, "s"), "s"))["name"] == "desk"


def test_the_letter_that_closes_the_keys_is_not_typed_into_the_row_beneath() -> None:
    helped = key(filled(click(START, "new:"), name="desk"), "f1")
    assert page_of(helped).title == "Keys"
    assert "words for a dark room, or for a lit one" in words(page_of(helped))
    for letter in ("x", "h", "?"):
        assert typed(key(helped, letter), letter) == helped
    assert answers(key(helped, "f1")) == answers(key(helped, "escape")) == answers(click_beside(helped))
    assert answers(typed(key(helped, "return"), "y"))["name"] == "desky"


def click_beside(state: State) -> State:
    return after(state, ScreenEvent("pointer-down", 0.0, button=1), lambda x, y: "")


def test_the_first_letter_replaces_what_was_filled_in_and_backspace_corrects_it() -> None:
    form = click(click(START, "new:"), "diagonal")
    assert answers(typed(form, "3"))["diagonal"] == "3"
    assert answers(typed(key(form, "backspace"), "5"))["diagonal"] == "27.5"


def test_return_on_the_last_row_takes_the_form() -> None:
    form = click(filled(click(START, "new:"), name="desk"), "folder")
    assert wish(key(form, "return")).words[0] == "new"


def test_the_room_is_dimmed_in_a_form_too() -> None:
    form = click(START, "new:")
    assert (page_of(form).room, page_of(key(form, "f2")).room) == ("lit", "dark")


def test_a_form_with_a_row_missing_is_not_taken_and_goes_to_that_row() -> None:
    form = click(click(START, "new:"), "go")
    assert form.wish is None
    assert page_of(form).chosen == "name"
    assert "this is needed" in words(page_of(form))


def test_a_click_on_a_row_chooses_it_and_return_goes_on() -> None:
    form = click(click(START, "new:"), "diagonal")
    assert page_of(form).chosen == "diagonal"
    assert page_of(key(form, "return")).chosen == "folder"


def test_backspace_deletes_what_was_typed() -> None:
    form = key(filled(click(START, "new:"), name="desk"), "backspace", "backspace")
    assert answers(form)["name"] == "de"


def test_a_name_that_looks_like_an_option_is_a_name() -> None:
    form = filled(click(START, "new:"), name="--peak-cd-m2=1")
    assert understood(wish(click(form, "go")).words).name == "--peak-cd-m2=1"


def test_an_open_checkpoint_needs_no_hours_and_another_does() -> None:
    assert "2026-02-03-h1460 is gone on with" in words(page_of(click(panel(), "spot")))
    assert understood(wish(click(click(panel(PROBED), "spot"), "go")).words).hours is None
    closed = click(click(panel(replace(PROBED, open_name="")), "spot"), "go")
    assert closed.wish is None
    assert "it had 1460 h last time" in words(page_of(closed))


def test_a_spot_asks_for_what_the_command_takes() -> None:
    form = filled(click(panel(replace(DESK, open_name="")), "spot"), hours="1460,5", cycles="12", warm_up="0")
    form = click(click(form, "link"), "simulated")
    form = picked(form, "instrument", "scpi-colorimeter")
    run = wish(click(form, "go"))
    read = understood(run.words)
    assert run.on_screen
    assert (read.hours.value, read.cycles, read.warm_up, read.probe) == (1460.5, 12, 0.0, "simulated")
    assert (read.instrument, read.no_probe, read.screen) == ("scpi-colorimeter", False, 0)


def test_the_steps_can_be_shown_first() -> None:
    run = wish(click(filled(click(panel(PROBED), "inspect"), hours="1500"), "dry"))
    read = understood(run.words)
    assert (read.dry_run, read.sequence, run.on_screen) == (True, "checkpoint", False)


def test_the_probe_of_last_time_is_the_default_at_another_address_too() -> None:
    known = replace(DESK, link="socket://10.0.0.7:5025", instrument="mine.toml")
    read = understood(wish(click(click(panel(known), "inspect"), "go")).words)
    assert (read.probe, read.instrument) == ("socket://10.0.0.7:5025", "mine.toml")


def test_a_probe_has_to_be_chosen_where_none_was_used_before() -> None:
    form = click(click(panel(), "spot"), "go")
    assert form.wish is None
    assert page_of(form).chosen == "link"


def test_another_address_has_to_be_typed() -> None:
    form = click(click(click(panel(), "spot"), "link"), "other")
    form = click(form, "go")
    assert form.wish is None
    assert page_of(form).chosen == "address"
    assert understood(wish(click(filled(form, address="socket://h:1"), "go")).words).probe == "socket://h:1"


def test_typed_readings_and_no_probe_need_no_instrument() -> None:
    by_hand = understood(wish(click(click(click(click(panel(), "spot"), "link"), "keyboard"), "go")).words)
    assert (by_hand.probe, by_hand.instrument) == ("keyboard", None)
    none = understood(wish(click(click(click(click(panel(), "spot"), "link"), "none"), "go")).words)
    assert (none.probe, none.no_probe) == (None, True)


def test_the_monitor_with_the_panels_pixels_is_taken() -> None:
    small = replace(DESK, width_px=1920, height_px=1080)
    assert understood(wish(click(click(panel(small), "look"), "go")).words).screen == 1
    alone = replace(WORLD, monitors=WORLD.monitors[:1])
    assert understood(wish(click(click(panel(world=alone), "look"), "go")).words).screen is None


def test_what_was_interrupted_is_gone_on_with() -> None:
    state = click(panel(replace(DESK, unfinished="spot", doing="resume")), "resume")
    assert "'spot' of 2026-02-03-h1460 was interrupted" in words(page_of(state))
    assert understood(wish(click(state, "go")).words).warm_up is None


def test_a_rehearsal_goes_to_a_folder_of_its_own() -> None:
    run = wish(click(click(START, "rehearse:"), "go"))
    read = understood(run.words)
    assert (str(read.out), read.quick) == ("/home/them/panelwear/rehearsal", True)
    assert run.folder == "/home/them/panelwear/rehearsal/harbour-desk"


def test_checkpoints_are_exported_as_what_can_be_written_here() -> None:
    form = click(panel(), "export")
    assert "Not here: Parquet; something installs it." in words(page_of(form))
    every = understood(wish(click(form, "go")).words)
    assert (str(every.directory), every.format, every.checkpoint) == (DESK.folder, "cgats,xlsx", None)
    assert understood(wish(click(picked(form, "format", "xlsx"), "go")).words).format == "xlsx"
    alone = replace(WORLD, exports=WORLD.exports[:1])
    assert understood(wish(click(click(panel(world=alone), "export"), "go")).words).format == "cgats"


def test_a_forecast_is_asked_for_as_its_command_takes_it() -> None:
    desk = replace(DESK, closed=2, zones=("clock-badge",))
    form = click(panel(desk), "forecast")
    form = filled(form, until="clock-badge contrast 3 %", use="8h x 5d/week", use_3="half my hours")
    found = understood(wish(click(form, "go")).words)
    assert (found.targets, found.uses) == (["clock-badge contrast 3 %"], ["8h x 5d/week", "half my hours"])


@pytest.mark.parametrize(
    ("row", "text", "why"),
    [
        ("until", "bagde visible", "there is no zone 'bagde'; did you mean"),
        ("use", "30h/day", "a day of use has 0.1 to 24 h"),
    ],
)
def test_a_forecast_says_in_its_form_what_it_cannot_answer(row: str, text: str, why: str) -> None:
    desk = replace(DESK, closed=2, zones=("badge",))
    state = click(filled(click(panel(desk), "forecast"), **{row: text}), "go")
    assert state.wish is None
    assert why in words(page_of(state)) and "--u" not in words(page_of(state))


def test_the_start_screen_offers_what_the_command_writes(monkeypatch: pytest.MonkeyPatch) -> None:
    assert {choice.value: library for choice, library in look_up.EXPORTS} == {
        name: library for name, (_, library) in FORMATS.items()
    }
    monkeypatch.setattr(look_up, "is_there", lambda library: library != "pyarrow")
    world = look_up.look_up((), date(2026, 2, 3))
    assert [choice.value for choice in world.exports] == ["cgats", "xlsx"]
    assert world.no_exports.startswith("Not here: Parquet; pip install")


@pytest.mark.parametrize(
    ("name", "folder"), [("Désk  left", "desk-left"), ("???", "panel"), ("../x", "x"), ("Nº 2", "no-2")]
)
def test_a_folders_name_is_plain(name: str, folder: str) -> None:
    assert slug(name) == folder


def test_the_panel_is_photographed_by_a_list_and_in_poses() -> None:
    form = filled(click(panel(), "shoot"), hours="1460,5")
    assert understood(wish(click(form, "go")).words[1:], "camera_shoot").list == "usual"
    assert isinstance(form.view, FormView)
    listed = form.view.form.field("list")
    assert listed is not None
    assert listed.question.choices == ("usual", "short", "other")
    assert {"usual", "short"} == set(shipped())
    read = understood(wish(click(picked(form, "poses", "yes"), "go")).words[1:], "camera_shoot")
    assert (read.hours.value, read.poses, str(read.directory)) == (1460.5, True, DESK.folder)


def test_a_shooting_list_of_one_s_own_has_to_be_named() -> None:
    form = picked(filled(click(panel(), "shoot"), hours="1460"), "list", "other")
    assert click(form, "go").wish is None
    named = filled(form, list_file="mine.toml")
    assert understood(wish(click(named, "go")).words[1:], "camera_shoot").list == "mine.toml"


def test_what_the_panel_shows_is_told_by_zone() -> None:
    told = replace(DESK, zones=("chart", "vessel-list"), names=("2026-02-03-h1460",), usage_told=True)
    form = filled(
        click(panel(told), "usage"),
        hours_a_day="7-9", white_cd_m2="120", **{"shows": "mid", "shows:vessel-list": "white 90 %"},
    )  # fmt: skip

    read = understood(wish(click(form, "go")).words)

    assert (read.since, read.hours_a_day, read.white_cd_m2) == ("2026-02-03-h1460", "7-9", "120")
    assert read.shows == ["mid", "vessel-list=white 90 %"]
    assert wish(click(form, "tell")).words == ("usage", DESK.folder)


def test_what_a_zone_cannot_show_is_said_in_the_form() -> None:
    form = filled(click(panel(replace(DESK, zones=("chart",))), "usage"), **{"shows:chart": "whit"})
    assert "did you mean 'white'?" in words(page_of(click(form, "since")))


def test_screenshots_go_with_what_was_told_and_a_table_stands_for_it() -> None:
    form = filled(click(panel(), "usage"), hours_a_day="8", screenshots="/home/them/shots")
    read = understood(wish(click(form, "go")).words)
    assert (str(read.screenshots), read.hours_a_day, read.since) == ("/home/them/shots", "8", "always")
    assert wish(click(filled(form, table="own.csv"), "go")).words == ("usage", DESK.folder, "--table=own.csv")
