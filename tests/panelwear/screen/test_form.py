"""The form: questions gone through back and forth with keys and mouse, checked at once, taken all together."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from panelwear.screen.contract import ScreenEvent
from panelwear.screen.form import BACK, CHANGE, LEAVE, STAY, TAKE, Form, begun
from panelwear.screen.form_keys import after
from panelwear.screen.form_page import EMPTY, page_of
from panelwear.screen.operator import Inquiry, Question
from panelwear.screen.page import Items, Words
from panelwear.screen.questions import QUESTIONS
from tests.panelwear.screen.form_hand import (
    ALL,
    BRIGHTNESS,
    KEYS,
    LUX,
    NOTE,
    at,
    clicked,
    costly,
    form,
    item,
    key,
    nothing_there,
    pressed,
    text_of,
    typed,
)


def test_one_return_takes_all_answers_of_last_time() -> None:
    done = pressed(form(), "return")
    assert done.stage == "taken"
    assert done.answers == {"brightness": "60", "shift": "unknown", "lux": "0.4", "note": ""}


def test_the_first_time_it_begins_with_the_first_question_and_return_goes_through_all() -> None:
    begun_ = form(*(replace(question, before="") for question in ALL))
    assert begun_.chosen == "brightness"
    ways = [pressed(begun_, *["return"] * times).chosen for times in range(4)]
    assert ways == KEYS
    assert pressed(begun_, *["return"] * 3).stage == "fields"
    assert pressed(begun_, *["return"] * 4).stage == "taken"


@pytest.mark.parametrize(("forth", "back"), [(key("down"), key("up")), (key("tab"), key("tab", shift=True))])
def test_rows_are_gone_through_back_and_forth_once_around(forth: ScreenEvent, back: ScreenEvent) -> None:
    one, seen = at("brightness"), []
    for _ in range(6):
        one = after(one, forth, nothing_there)
        seen.append(one.chosen)
    assert seen == [*KEYS[1:], TAKE, LEAVE, "brightness"]
    for _ in range(6):
        one = after(one, back, nothing_there)
        seen.append(one.chosen)
    assert seen[6:] == [LEAVE, TAKE, *reversed(KEYS)]


def test_home_end_and_the_wheel_choose_too() -> None:
    assert pressed(at("lux"), "home").chosen == "brightness"
    assert pressed(at("lux"), "end").chosen == TAKE
    assert pressed(at("brightness"), "page-down").chosen == pressed(at("lux"), "page-down").chosen == TAKE
    assert pressed(at("note"), "page-up").chosen == "brightness"
    assert after(at("lux"), ScreenEvent("wheel", 0.0, button=-1), nothing_there).chosen == "note"
    assert after(at(TAKE), ScreenEvent("wheel", 0.0, button=-1), nothing_there).chosen == TAKE


def test_left_and_right_go_through_the_buttons_and_stop_at_their_ends() -> None:
    ways = (["left"], ["right"], ["right", "right"], ["right", "left"])
    assert [pressed(form(), *names).chosen for names in ways] == [TAKE, LEAVE, LEAVE, TAKE]


def test_the_first_letter_begins_the_answer_anew_and_backspace_corrects_it() -> None:
    assert text_of(typed(at("brightness"), "75"), "brightness") == "75"
    assert text_of(pressed(at("brightness"), "backspace"), "brightness") == "6"
    assert text_of(typed(pressed(at("brightness"), "backspace"), "5"), "brightness") == "65"
    assert text_of(after(at("brightness"), key("backspace", control=True), nothing_there), "brightness") == ""
    came_back = pressed(typed(at("brightness"), "75"), "down", "up")
    assert text_of(typed(came_back, "8"), "brightness") == "8"


def test_choices_are_cycled_by_left_right_space_and_a_click_on_the_chosen_row() -> None:
    assert [text_of(pressed(at("shift"), *["right"] * n), "shift") for n in (1, 2, 3)] == ["yes", "no", "unknown"]
    assert text_of(pressed(at("shift"), "left"), "shift") == "no"
    assert text_of(pressed(at("shift"), "space"), "shift") == "yes"
    once = clicked(form(), "shift")
    assert (once.chosen, text_of(once, "shift")) == ("shift", "unknown")
    assert text_of(clicked(once, "shift"), "shift") == "yes"
    assert text_of(pressed(pressed(at("shift"), "right"), "backspace"), "shift") == "unknown"


@pytest.mark.parametrize(
    ("letters", "wanted"), [("n", "no"), ("unknown", "unknown"), ("2", "no"), ("ny", "yes"), ("q", "unknown")]
)
def test_a_choice_is_found_by_its_letters_or_its_number(letters: str, wanted: str) -> None:
    assert text_of(typed(at("shift"), letters), "shift") == wanted


def test_left_and_right_leave_a_typed_answer_alone() -> None:
    assert pressed(at("brightness"), "left", "right") == at("brightness")


def test_a_wrong_answer_is_told_when_its_row_is_left_and_return_stays_there() -> None:
    wrong = pressed(typed(at("lux"), "dark"), "return")
    assert wrong.chosen == "lux"
    assert item(wrong, "lux").fault == "'dark' is not a number"
    elsewhere = pressed(typed(at("lux"), "dark"), "down")
    assert elsewhere.chosen == "note"
    assert item(elsewhere, "lux").fault == "'dark' is not a number"
    assert item(typed(wrong, "2"), "lux").fault == ""


def test_nothing_is_taken_while_an_answer_is_faulty() -> None:
    wrong = clicked(typed(at("lux"), "-3"), TAKE)
    assert (wrong.stage, wrong.chosen) == ("fields", "lux")
    assert item(wrong, "lux").fault == "light cannot be negative"
    assert clicked(typed(wrong, "3"), TAKE).stage == "taken"


def test_an_answer_is_cleaned_when_its_row_is_left() -> None:
    assert text_of(pressed(typed(at("lux"), "1,50"), "down"), "lux") == "1.5"


def test_what_was_changed_says_so_in_a_word_and_tells_last_time_s_answer() -> None:
    changed = pressed(typed(at("lux"), "3"), "down")
    assert item(changed, "lux").mark == "changed, was 0.4"
    assert item(changed, "lux").note.endswith("; last time: 0.4 lx")
    assert item(changed, "brightness").mark == item(changed, "note").mark == ""
    put_back = pressed(typed(replace(changed, chosen="lux", fresh=True), "0.40"), "down")
    assert item(put_back, "lux").mark == ""


def test_rows_are_labels_and_the_chosen_one_tells_the_whole_question() -> None:
    page = page_of(at("shift"))
    assert all(part.brief for part in page.parts if isinstance(part, Items))  # notes are seen of the chosen row alone
    assert [row.label for row in page.items] == ["Brightness", "Pixel shift", "Light (lx)", "Note", "Take all", "Leave"]
    assert page.items[1].note == "Is pixel shift on? (yes, no, unknown)"
    assert item(at("shift"), "shift").value == "< unknown >"
    assert item(at("shift"), "note").value == EMPTY
    assert item(at("note"), "note").value == ""
    assert item(at("note"), "note").entry


@pytest.mark.parametrize("name", ["f1", "h", "?"])
@pytest.mark.parametrize("row", ["shift", TAKE])
def test_keys_are_shown_where_nothing_is_typed_and_go_away_with_nothing_done(name: str, row: str) -> None:
    begun_ = at(row)
    helped = pressed(begun_, name)
    assert page_of(helped).title == "Keys"
    assert {word.lead for word in page_of(helped).parts if isinstance(word, Words)} >= {"Escape", "F1, h, ?"}
    assert pressed(helped, "x", "down", "space") == helped  # a wrong key does nothing
    for back in ("return", "escape", name):
        assert pressed(helped, back) == begun_


def test_h_is_a_letter_while_an_answer_is_typed_and_f1_shows_the_keys() -> None:
    assert text_of(typed(at("note"), "hdr?"), "note") == "hdr?"
    helped = pressed(typed(at("note"), "h"), "f1")
    assert page_of(helped).title == "Keys"
    assert text_of(pressed(typed(helped, "h?x"), "f1"), "note") == "h"


def test_h_chooses_where_a_choice_begins_with_it() -> None:
    worn = Question("worn", "What is worn?", "none", ("none", "half glasses"), label="Glasses")
    assert text_of(typed(replace(form(worn), chosen="worn"), "h"), "worn") == "half glasses"


def test_fields_of_a_group_stand_together_and_answers_keep_their_order() -> None:
    one = form(LUX, BRIGHTNESS, replace(NOTE, group="Room"))
    assert [field.key for field in one.fields] == ["lux", "note", "brightness"]
    assert [*one.answers] == ["lux", "brightness", "note"]


def test_every_question_of_an_inspection_has_a_label_and_a_heading() -> None:
    page = page_of(begun(Inquiry((*QUESTIONS.values(),))))
    assert len(page.items) == len(QUESTIONS) + 2
    labels = [row.label for row in page.items]
    assert len({*labels}) == len(labels)
    assert all(len(label) <= 30 for label in labels)


def test_what_the_answers_cost_is_read_before_they_are_taken_and_one_may_go_back() -> None:
    one = replace(form(costs=costly), chosen="brightness")
    read = clicked(typed(one, "80"), TAKE)
    assert read.stage == "costs"
    assert "Cost: much." in str(page_of(read).parts)
    assert pressed(read, "return").stage == "taken"
    for back in (pressed(read, "escape"), clicked(read, BACK), pressed(read, "down", "return")):
        assert (back.stage, text_of(back, "brightness")) == ("fields", "80")
    assert clicked(typed(one, "60"), TAKE).stage == "taken"


def test_answers_of_the_evening_are_taken_with_return_and_c_changes_them() -> None:
    known = form(answered="The 4 answers given 20 min ago are taken.")
    assert [part.text for part in page_of(known).parts if hasattr(part, "text")] == [
        "The 4 answers given 20 min ago are taken."
    ]
    assert [row.id for row in page_of(known).items] == [TAKE, CHANGE]
    assert pressed(known, "return").stage == "taken"
    for changing in (pressed(known, "c"), clicked(known, CHANGE), pressed(known, "right", "return")):
        assert changing.stage == "fields"
        assert [row.id for row in page_of(changing).items] == [*KEYS, TAKE, LEAVE]


def test_escape_and_the_button_leave_at_once_where_nothing_was_typed() -> None:
    assert pressed(form(), "escape").stage == clicked(form(), LEAVE).stage == "left"
    assert pressed(form(), "right", "return").stage == "left"


@pytest.mark.parametrize("leave", [lambda one: pressed(one, "escape"), lambda one: clicked(one, LEAVE)])
def test_what_was_typed_is_given_up_only_by_an_answer_of_its_own(leave: Callable[[Form], Form]) -> None:
    asked = leave(typed(at("note"), "new cable"))
    assert asked.stage == "leaving"
    page = page_of(asked)
    assert [(row.id, row.value) for row in page.items] == [(STAY, "s"), (LEAVE, "l")]
    assert page.chosen == STAY
    for stays in (pressed(asked, "return"), typed(asked, "s"), clicked(asked, STAY)):
        assert (stays.stage, stays.chosen, text_of(stays, "note")) == ("fields", "note", "new cable")
    # Escape, pressed again and again, always leads out.
    for leaves in (
        typed(asked, "l"),
        clicked(asked, LEAVE),
        pressed(asked, "right", "return"),
        pressed(asked, "escape"),
    ):
        assert leaves.stage == "left"
    assert pressed(asked, "x", "space", "y").stage == "leaving"


def test_a_choice_that_was_changed_is_asked_about_too() -> None:
    assert pressed(at("shift"), "right", "escape").stage == "leaving"
    assert pressed(at("shift"), "right", "left", "escape").stage == "left"
