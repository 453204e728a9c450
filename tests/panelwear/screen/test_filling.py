"""The same form on the screen and on the terminal, whichever answers first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from panelwear.errors import Stopped, UsageError
from panelwear.screen.form import TAKE, begun, listing_choices
from panelwear.screen.form_page import page_of
from panelwear.screen.form_terminal import Talk, after_line, listing
from panelwear.screen.operator import Inquiry, Unattended
from panelwear.screen.person import TerminalOperator
from panelwear.screen.placing_page import PLACING
from tests.panelwear.screen.form_hand import ALL, MODE, costly
from tests.panelwear.screen.test_person import Desk

ASKED = Inquiry(ALL, "Before the first light")
AS_LAST_TIME = {"brightness": "60", "shift": "unknown", "lux": "0.4", "note": ""}
HEARD_S = 1.0
"""By then keys of a form's first moment are past."""


@pytest.fixture
def desk() -> Iterator[Desk]:
    made = Desk()
    yield made
    made.close()


def test_return_on_the_screen_takes_all_and_the_terminal_says_so(desk: Desk) -> None:
    desk.screen.press("return", after_s=HEARD_S)
    assert desk.person.ask_all(ASKED) == AS_LAST_TIME
    assert "taken on the screen" in desk.out.getvalue()
    assert [page.title for page in desk.screen.note.pages] == ["Before the first light"]


def test_return_on_the_terminal_takes_all(desk: Desk) -> None:
    desk.type_line("")
    assert desk.person.ask_all(ASKED) == AS_LAST_TIME


def test_both_sides_fill_in_the_same_form(desk: Desk) -> None:
    desk.type_line("1 80")
    desk.screen.press("up", "up", after_s=HEARD_S)
    desk.screen.type_text("3", after_s=HEARD_S)
    desk.screen.press("end", "return", after_s=HEARD_S + 0.1)
    assert desk.person.ask_all(ASKED) == {**AS_LAST_TIME, "brightness": "80", "lux": "3"}
    # What was typed at the terminal stands on the page.
    values = [page.item("brightness") for page in desk.screen.note.pages]
    assert [item.value for item in values if item is not None][:2] == ["60", "80"]


def test_a_page_is_drawn_only_when_it_has_changed(desk: Desk) -> None:
    desk.screen.press("left", "delete", after_s=HEARD_S)
    desk.screen.press("return", after_s=HEARD_S + 0.5)
    desk.person.ask_all(ASKED)
    assert len(desk.screen.note.pages) == 1


def test_the_list_of_choices_on_the_screen_asks_nothing_new_at_the_terminal(desk: Desk) -> None:
    many = Inquiry((MODE, *ALL), "Before the first light")
    desk.screen.press("home", "return", after_s=HEARD_S)
    desk.screen.press("end", "return", after_s=HEARD_S + 0.5)
    desk.screen.press("end", "return", after_s=HEARD_S + 1)
    assert desk.person.ask_all(many) == {**AS_LAST_TIME, "mode": "eco"}
    assert "Picture mode" in [page.title for page in desk.screen.note.pages]
    assert desk.out.getvalue().count("Return takes all; a number changes") == 1


def test_an_answer_typed_at_the_terminal_closes_the_list_of_choices_on_the_screen() -> None:
    listed = listing_choices(replace(begun(Inquiry((MODE, *ALL))), chosen="mode"))
    assert listed.stage == "choices"
    assert after_line(Talk(listed), "1 game")[0].form.answers["mode"] == "game"
    assert after_line(Talk(listed), "")[0].form.stage == "taken"


def test_a_return_meant_for_the_card_before_takes_nothing(desk: Desk) -> None:
    desk.screen.press("return")
    desk.screen.press("up", after_s=HEARD_S)
    desk.screen.type_text("new stand", after_s=HEARD_S)
    desk.screen.press("return", "return", after_s=HEARD_S + 0.1)
    assert desk.person.ask_all(ASKED)["note"] == "new stand"


def test_a_click_on_the_button_takes_all(desk: Desk) -> None:
    rows = [item.id for item in page_of(begun(ASKED)).items]
    desk.screen.happen("pointer-down", after_s=HEARD_S, button=1, y=10 * rows.index(TAKE) + 5)
    assert desk.person.ask_all(ASKED) == AS_LAST_TIME


def test_two_clicks_of_one_moment_take_nothing_that_was_not_seen(desk: Desk) -> None:
    asked = replace(ASKED, costs=costly)
    rows = [item.id for item in page_of(begun(asked)).items]
    desk.type_line("1 80")
    for _ in range(2):
        desk.screen.happen("pointer-down", after_s=HEARD_S, button=1, y=10 * rows.index(TAKE) + 5)
    desk.screen.press("b", after_s=HEARD_S + 1)
    desk.screen.press("escape", after_s=HEARD_S + 2)
    desk.screen.press("l", after_s=HEARD_S + 3)
    with pytest.raises(Stopped):
        desk.person.ask_all(asked)
    titles = [page.title for page in desk.screen.note.pages]
    assert titles[-3:] == ["What is not as last time, and what it costs", "Before the first light", "Leave?"]


def test_escape_stops_and_leaves_no_light(desk: Desk) -> None:
    desk.screen.press("escape", after_s=HEARD_S)
    with pytest.raises(Stopped, match="everything up to here is kept"):
        desk.person.ask_all(ASKED)
    assert desk.screen.darkened == 1


def test_what_the_answers_cost_is_said_on_both_sides(desk: Desk) -> None:
    desk.type_line("1 80")
    desk.type_line("")
    desk.screen.press("return", after_s=HEARD_S)
    assert desk.person.ask_all(replace(ASKED, costs=costly))["brightness"] == "80"
    assert desk.screen.note.pages[-1].title == "What is not as last time, and what it costs"
    assert "was '60', is now '80'. Cost: much" in desk.out.getvalue()
    assert "'b' goes back to the answers" in desk.out.getvalue()


def test_the_terminal_alone_shows_the_form_as_a_numbered_list(desk: Desk) -> None:
    for line in ("3", "-1", "2,5", "2", "yes", "?", ""):
        desk.type_line(line)
    person = TerminalOperator(desk.terminal, desk.clock)
    assert person.ask_all(ASKED) == {**AS_LAST_TIME, "lux": "2.5", "shift": "yes"}
    said = desk.out.getvalue()
    assert "    1  Brightness   60" in said
    assert "light cannot be negative" in said
    assert "Light (lx)  2.5           changed; last time: 0.4 lx" in said
    assert "Is pixel shift on? (yes, no, unknown)  yes" in said


def test_a_terminal_that_has_ended_cannot_answer(desk: Desk) -> None:
    desk.hang_up()
    with pytest.raises(UsageError, match="nobody can answer"):
        TerminalOperator(desk.terminal, desk.clock).ask_all(ASKED)


@pytest.mark.parametrize("line", ["by-terminal", "0", "5", "99", "³", "-1"])
def test_a_line_that_is_no_number_of_the_list_changes_nothing(line: str) -> None:
    talk, said = after_line(Talk(begun(ASKED)), line)
    assert talk.form.answers == AS_LAST_TIME
    assert said == [f"'{line}' is no number from 1 to 4; nothing was changed"]


def test_an_empty_answer_leaves_what_stands_there() -> None:
    talk = Talk(begun(ASKED))
    for line in ("1", "", "1 70", "1", ""):
        talk, _ = after_line(talk, line)
    assert talk.form.answers["brightness"] == "70"


def test_all_that_the_terminal_can_say_on_the_other_pages() -> None:
    known = Talk(begun(replace(ASKED, answered="The 4 answers are taken.")))
    assert after_line(known, "")[0].form.stage == "taken"
    changing, said = after_line(known, "c")
    assert said == listing(changing.form)
    assert after_line(known, "60")[1] == ["'60' means nothing here"]
    costs = Talk(replace(begun(replace(ASKED, costs=costly)), stage="costs"))
    assert after_line(costs, "b")[0].form.stage == "fields"
    leaving, _ = after_line(after_line(Talk(begun(ASKED)), "1 70")[0], "leave")
    assert leaving.form.stage == "leaving"
    assert after_line(leaving, "")[0].form.answers["brightness"] == "70"
    assert after_line(leaving, "leave")[0].form.stage == "left"


def test_with_nobody_there_defaults_are_taken_and_their_cost_is_told(desk: Desk) -> None:
    changed = replace(ASKED, questions=(replace(ALL[0], default="80"), *ALL[1:]), costs=costly)
    assert Unattended(desk.person).ask_all(changed)["brightness"] == "80"
    assert "Cost: much" in desk.out.getvalue()
    assert desk.screen.note.pages == []
    Unattended(desk.person).read_page(PLACING)
    assert desk.screen.note.pages == []


def test_a_page_is_read_until_return_and_its_words_stand_on_the_terminal(desk: Desk) -> None:
    desk.screen.press("x", "up", after_s=HEARD_S)
    desk.screen.press("return", after_s=HEARD_S + 1)
    desk.person.read_page(PLACING)
    assert desk.screen.page_now == PLACING
    assert desk.clock.monotonic_s() >= HEARD_S + 1
    assert "lies flat on the glass" in desk.out.getvalue()
