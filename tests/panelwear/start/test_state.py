"""What keys and mouse do on every page of the start screen: choose, take, back, show keys, and nothing else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from panelwear.screen.contract import ScreenEvent
from panelwear.start.chooser import with_listing
from panelwear.start.facts import Listing, World
from panelwear.start.menu import First, PanelPage
from panelwear.start.outcome import outcome
from panelwear.start.state import (
    Forget,
    Leave,
    ListFolder,
    OpenFolder,
    Run,
    State,
    StopChild,
    after,
    page_of,
)
from panelwear.start.told import Working
from tests.panelwear.start.hand import DESK, GONE, WORLD, click, filled, key, words

START = State(WORLD, (First(),))
PANEL = State(WORLD, (First(), PanelPage(DESK.folder)))


def test_the_first_page_tells_of_each_panel_where_it_stands_and_what_comes_next() -> None:
    said = words(page_of(START))
    assert "harbour-desk 1460 h; last: 2026-02-03, spot; open: 2026-02-03-h1460" in said
    assert "next: 2026-02-03-h1460 is open" in said
    assert "next: the folder is gone" in said
    assert page_of(START).chosen == DESK.folder


def test_without_a_panel_the_first_row_makes_one() -> None:
    page = page_of(State(World(monitors=WORLD.monitors), (First(),)))
    assert "No panel is known yet" in words(page)
    assert page.item(page.chosen) is not None
    assert page.items[0].label == "New panel"
    assert page.chosen == page.items[0].id


def test_escape_goes_back_and_leaves_from_the_first_page_without_asking() -> None:
    state = key(key(START, "return"), "escape")
    assert (state.view, state.wish) == (First(), None)
    assert key(state, "escape").wish == Leave()


def test_a_closed_window_leaves_from_everywhere() -> None:
    form = click(PANEL, "spot")
    assert after(form, ScreenEvent("quit", 0.0), lambda x, y: "").wish == Leave()


@pytest.mark.parametrize("pressed", ["h", "?", "f1"])
def test_keys_are_shown_and_any_key_goes_back(pressed: str) -> None:
    shown = key(PANEL, pressed)
    assert page_of(shown).title == "Keys"
    assert key(shown, "x") == PANEL
    assert key(shown, "escape") == PANEL


def test_h_is_a_letter_where_something_is_typed() -> None:
    form = click(click(PANEL, "spot"), "hours")
    assert key(form, "h") == form
    assert page_of(key(form, "f1")).title == "Keys"


def test_the_room_is_lit_until_f2() -> None:
    assert page_of(START).room == "lit"
    assert page_of(key(START, "f2")).room == "dark"
    assert page_of(key(START, "f2", "f2")).room == "lit"


def test_after_a_session_on_the_screen_the_room_is_dark() -> None:
    for on_screen, room in ((True, "dark"), (False, "lit")):
        ended = outcome(START, Run(("spot", "/p/desk"), "Spot", on_screen, "/p/desk"), ["stored"], 0)
        assert page_of(ended).room == room
    assert key(START, "f2", "f2") == START


@pytest.mark.parametrize("pressed", ["a", "c", "delete", "space", "f5", "left"])
def test_a_wrong_key_does_nothing(pressed: str) -> None:
    assert key(PANEL, pressed) == PANEL


def test_what_comes_next_is_chosen_and_marked() -> None:
    page = page_of(PANEL)
    assert page.chosen == "close"
    assert [item.id for item in page.items if item.mark == "next"] == ["close"]


def test_what_cannot_be_done_says_why() -> None:
    page = page_of(PANEL)
    row = page.item("resume")
    assert row is not None and not row.enabled and row.note == "nothing was interrupted"
    fresh = replace(DESK, readings=0, open_name="", hours="", last="")
    other = page_of(replace(PANEL, world=World(panels=(fresh,))))
    off = {item.id for item in other.items if not item.enabled}
    assert off == {"read", "resume", "close", "compare", "forecast", "report", "export"}


def test_closing_asks_first_and_back_is_what_return_takes() -> None:
    asked = click(PANEL, "close")
    assert asked.wish is None
    assert page_of(asked).chosen == "back"
    assert page_of(key(asked, "return")) == page_of(PANEL)
    run = click(asked, "close").wish
    assert isinstance(run, Run) and run.words == ("close", DESK.folder)
    assert not run.on_screen


def test_an_interrupted_session_is_closed_only_as_it_is() -> None:
    world = World(panels=(replace(DESK, unfinished="spot"),))
    asked = click(replace(PANEL, world=world), "close")
    assert "'spot' was interrupted" in words(page_of(asked))
    run = click(asked, "close").wish
    assert isinstance(run, Run) and run.words == ("close", DESK.folder, "--as-it-is")


def test_photographs_that_were_interrupted_are_gone_on_with_or_closed_as_they_are() -> None:
    left = "'shoot-1' was interrupted with 3 of 12 photographs taken"
    page = replace(PANEL, world=World(panels=(replace(DESK, unfinished_shoot=left),)))
    row = page_of(page).item("resume")
    assert row is not None and row.enabled and row.note == left
    asked = click(page, "resume")
    assert "It goes on with the photograph that is missing" in words(page_of(asked))
    run = click(asked, "go").wish
    assert isinstance(run, Run) and run.words == ("resume", DESK.folder) and run.on_screen
    closing = click(page, "close")
    assert left in words(page_of(closing))
    run = click(closing, "close").wish
    assert isinstance(run, Run) and run.words == ("close", DESK.folder, "--as-it-is")


def test_photographs_are_read_from_the_newest_checkpoint_s_folder() -> None:
    nothing = page_of(PANEL).item("read")
    assert nothing is not None and not nothing.enabled and "copy them into photos/" in nothing.note
    photos = "checkpoints/2026-02-03-h1460/photos"
    run = click(replace(PANEL, world=World(panels=(replace(DESK, photos=photos),))), "read").wish
    assert isinstance(run, Run) and not run.on_screen
    assert run.words == ("camera", "read", DESK.folder, f"{DESK.folder}/{photos}")


def test_a_panel_that_was_only_photographed_can_be_compared_and_reported() -> None:
    seen = replace(DESK, readings=0, maps=2)
    page = page_of(replace(PANEL, world=World(panels=(seen,))))
    assert {"compare", "report"} <= {item.id for item in page.items if item.enabled}


@pytest.mark.parametrize(
    ("row", "on_screen"),
    [("compare", False), ("report", False), ("status", False), ("check", False), ("zones", True)],
)
def test_what_needs_no_form_runs_at_once(row: str, on_screen: bool) -> None:
    run = click(PANEL, row).wish
    assert isinstance(run, Run)
    record = ("--json",) if row == "compare" else ()
    assert (run.words, run.on_screen) == ((row, DESK.folder, *record), on_screen)
    assert run.gives_a_record == (row == "compare")


def test_a_forecast_needs_two_closed_checkpoints_and_its_record_is_told_on_the_screen() -> None:
    row = page_of(PANEL).item("forecast")
    assert row is not None and not row.enabled and row.note == "two closed checkpoints are needed"
    form = click(replace(PANEL, world=World(panels=(replace(DESK, closed=2),))), "forecast")
    run = click(form, "go").wish
    assert isinstance(run, Run) and run.gives_a_record
    assert run.words == ("forecast", DESK.folder, "--json")


def test_a_folder_that_is_gone_can_be_taken_off_the_list_and_nothing_else() -> None:
    state = click(START, GONE.folder)
    assert {item.id for item in page_of(state).items} == {"check", "forget"}
    assert click(state, "forget").wish == Forget(GONE.folder)


def test_the_chooser_goes_into_folders_and_opens_a_panel_folder() -> None:
    assert click(START, "open:").wish == ListFolder("")
    listing = Listing("/p", "/", (("desk", "/p/desk", True), ("other", "/p/other", False)))
    state = with_listing(START, listing)
    assert click(state, "/p/desk").wish == OpenFolder("/p/desk")
    assert click(state, "/p/other").wish == ListFolder("/p/other")
    assert click(state, "up:").wish == ListFolder("/")
    inside = with_listing(state, Listing("/p/desk", "/p", is_panel=True))
    assert len(inside.views) == len(state.views)
    assert click(inside, "here:").wish == OpenFolder("/p/desk")


def test_a_folder_that_cannot_be_read_is_said() -> None:
    state = with_listing(START, Listing("/root", "/", fault="this folder cannot be read (Permission denied)"))
    assert "cannot be read" in words(page_of(state))
    assert click(state, "up:").wish == ListFolder("/")


def test_escape_on_a_working_page_asks_for_its_end_and_keeps_the_page() -> None:
    state = key(PANEL.over(Working("Rehearsal")), "escape")
    assert state.wish == StopChild()
    assert "being stopped" in words(page_of(state))
    assert len(state.views) == 3


def test_a_form_that_is_left_is_not_taken() -> None:
    form = filled(click(PANEL, "spot"), hours="1500")
    assert key(form, "escape").wish is None
