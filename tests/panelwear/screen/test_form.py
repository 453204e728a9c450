"""The form: questions gone through back and forth with keys and mouse, checked at once, taken all together."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelwear.screen.contract import ScreenEvent
from panelwear.screen.form import BACK, CHANGE, ENDED, LEAVE, STAY, TAKE, Form, begun
from panelwear.screen.form_keys import after
from panelwear.screen.form_page import EMPTY, page_of
from panelwear.screen.operator import Inquiry, Question
from panelwear.screen.page import Items, Words
from panelwear.screen.questions import QUESTIONS


def number(text: str) -> str:
    if text == "":
        return ""
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        raise ValueError(f"'{text}' is not a number") from None
    if value < 0:
        raise ValueError("light cannot be negative")
    return f"{value:g}"


BRIGHTNESS = Question("brightness", "Brightness, as its menu shows it", "60", label="Brightness", group="Panel")
SHIFT = Question("shift", "Is pixel shift on?", "unknown", ("yes", "no", "unknown"), label="Pixel shift", group="Panel")
LUX = Question("lux", "Light at the panel", "0.4", unit="lx", check=number, label="Light", group="Room")
NOTE = Question("note", "What else?", label="Note", group="Note")
ALL = (replace(BRIGHTNESS, before="60"), SHIFT, replace(LUX, before="0.4"), NOTE)
KEYS = [question.key for question in ALL]


def nothing_there(x: int, y: int) -> str:
    return ""


def key(name: str, *, shift: bool = False, control: bool = False) -> ScreenEvent:
    return ScreenEvent("key", 0.0, key=name, shift=shift, control=control)


def pressed(form: Form, *names: str) -> Form:
    for name in names:
        form = after(form, key(name), nothing_there)
    return form


def typed(form: Form, text: str) -> Form:
    for letter in text:
        form = after(form, key("space" if letter == " " else letter), nothing_there)
        form = after(form, ScreenEvent("text", 0.0, text=letter), nothing_there)
    return form


def clicked(form: Form, row: str) -> Form:
    return after(form, ScreenEvent("pointer-down", 0.0, button=1, x=5, y=5), lambda x, y: row)


def form(*questions: Question, **more: object) -> Form:
    return begun(Inquiry(questions or ALL, **more))  # type: ignore[arg-type]


def at(key_: str) -> Form:
    return replace(form(), chosen=key_)


def text_of(one: Form, key_: str) -> str:
    field = one.field(key_)
    assert field is not None
    return field.text


def item(one: Form, key_: str):  # type: ignore[no-untyped-def]
    found = page_of(one).item(key_)
    assert found is not None
    return found


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


def costly(answers: object) -> tuple[str, ...]:
    return ("brightness: was '60', is now '80'. Cost: much",) if answers["brightness"] == "80" else ()  # type: ignore[index]


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


MODES = ("standard", "user", "cinema", "game", "eco")
MODE = Question("mode", "Which picture mode?", "user", MODES, label="Picture mode", before="user")
NAMED = Question(
    "link", "How is it read?", "", ("sim", "kbd", "dev", "none"), label="Probe", needed=True,
    names=("simulated", "typed in", "2: a port", "no probe"), means=("invented", "by hand", "a cable", "nothing"),
)  # fmt: skip


def test_many_choices_are_listed_by_return_and_by_a_click_and_one_is_picked() -> None:
    one = replace(form(MODE, NOTE), chosen="mode")
    listed = pressed(one, "return")
    assert listed == clicked(one, "mode") == clicked(replace(one, chosen="note"), "mode")
    page = page_of(listed)
    assert (page.title, page.chosen, [row.id for row in page.items]) == ("Picture mode", "user", list(MODES))
    for game in (pressed(listed, "down", "down", "return"), clicked(listed, "game")):
        assert (game.stage, game.chosen, text_of(game, "mode")) == ("fields", "note", "game")
        assert item(game, "mode").mark == "changed, was user"
    assert pressed(listed, "down", "escape") == one
    assert pressed(listed, "x", "space", "left", "c") == listed
    assert pressed(one, "right", "right", "right", "right", "right") == replace(pressed(one, "right", "left"), typed="")


def test_choices_are_told_by_their_names_and_by_what_they_do() -> None:
    one = replace(form(NAMED, NOTE), chosen="link")
    assert item(one, "link").note == "How is it read?"
    chosen = pressed(one, "right")
    assert (item(chosen, "link").value, item(chosen, "link").note) == ("< simulated >", "invented")
    assert [row.label for row in page_of(pressed(one, "return")).items] == list(NAMED.names)
    assert page_of(pressed(one, "return")).items[1].note == "by hand"
    for letters, wanted in (("t", "kbd"), ("no", "none"), ("2", "kbd"), ("2: a port", "dev"), ("x", "")):
        assert text_of(typed(one, letters), "link") == wanted


def test_what_is_needed_says_so_once_its_row_is_left() -> None:
    one = form(NAMED, NOTE)
    assert one.chosen == "link" and item(one, "link").fault == ""
    assert item(pressed(one, "down"), "link").fault == "this is needed"
    wrong = clicked(replace(one, chosen="note"), TAKE)
    assert (wrong.stage, wrong.chosen) == ("fields", "link")
    assert clicked(clicked(pressed(wrong, "return"), "kbd"), TAKE).answers["link"] == "kbd"


def test_a_click_right_after_typing_leaves_the_text_in_the_row_where_it_was_typed() -> None:
    five = [Question(f"row-{n}", f"Row {n}?", label=f"Row {n}") for n in range(1, 6)]
    one = replace(form(*five), chosen="row-2")
    there = clicked(typed(one, "for two"), "row-5")
    assert there.answers == {"row-1": "", "row-2": "for two", "row-3": "", "row-4": "", "row-5": ""}
    assert there.chosen == "row-5"
    assert typed(there, "for five").answers["row-5"] == "for five"


def test_the_letter_that_closes_a_page_over_the_rows_is_not_typed_into_the_row_beneath() -> None:
    asked = pressed(typed(at("note"), "cable"), "escape")
    assert text_of(typed(asked, "s"), "note") == "cable"
    assert text_of(typed(typed(asked, "s"), "s"), "note") == "s"
    known = form(NOTE, answered="It was answered.")
    assert text_of(typed(replace(known, beneath="note"), "c"), "note") == ""


def test_rows_follow_from_others_until_a_person_sets_them() -> None:
    def follow(one: Form, changed: str) -> Form:
        of = one.field("note")
        assert of is not None
        return one if changed != "brightness" or of.typed else one.put(replace(of, text=f"at {one.answers[changed]}"))

    one = replace(begun(Inquiry((BRIGHTNESS, NOTE)), follow), chosen="brightness")
    assert typed(one, "75").answers == {"brightness": "75", "note": "at 75"}
    own = replace(typed(replace(one, chosen="note"), "mine"), chosen="brightness", fresh=True)
    assert typed(own, "75").answers == {"brightness": "75", "note": "mine"}


def test_a_form_says_what_its_buttons_do_and_by_which_it_is_taken() -> None:
    one = form(BRIGHTNESS, words="Of today.", done="Begin", also=(("dry", "Show the steps first"),), leave="Back")
    page = page_of(one)
    assert [(row.id, row.label) for row in page.items[-3:]] == [
        (TAKE, "Begin"), ("dry", "Show the steps first"), (LEAVE, "Back")
    ]  # fmt: skip
    assert page.parts[0] == Words("Of today.", "soft")
    assert (clicked(one, TAKE).by, clicked(one, "dry").by) == (TAKE, "dry")
    assert clicked(one, "dry").stage == "taken"
    asked = pressed(typed(one, "7"), "escape")
    assert [(row.label, row.value) for row in page_of(asked).items] == [("Stay", "s"), ("Back", "b")]
    assert typed(asked, "b").stage == "left"


def test_a_closed_window_leaves_without_a_question() -> None:
    assert after(typed(at("note"), "x"), ScreenEvent("quit", 0.0), nothing_there).stage == "left"


def test_the_mouse_lying_over_a_row_and_a_click_beside_all_do_nothing() -> None:
    over = after(at("lux"), ScreenEvent("pointer-move", 0.0, x=5, y=5), lambda x, y: "note")
    assert over == at("lux")
    assert clicked(at("lux"), "") == at("lux")
    assert clicked(at("lux"), "no such row") == at("lux")


ROWS = [*KEYS, "mode", *MODES, TAKE, CHANGE, BACK, STAY, LEAVE, "", "none"]
EVENTS = st.one_of(
    st.builds(
        ScreenEvent,
        st.just("key"),
        st.just(0.0),
        key=st.sampled_from(
            ["up", "down", "left", "right", "tab", "home", "end", "page-up", "page-down", "return", "space",
             "backspace", "delete", "f1", "c", "h", "q", "escape"]
        ),
        shift=st.booleans(),
        control=st.booleans(),
    ),
    st.builds(ScreenEvent, st.just("text"), st.just(0.0), text=st.text(max_size=3)),
    st.builds(ScreenEvent, st.sampled_from(["pointer-down", "pointer-move", "wheel"]), st.just(0.0),
              x=st.integers(0, len(ROWS) - 1), button=st.sampled_from([1, 2, 3, -1])),
)  # fmt: skip


@settings(max_examples=300, deadline=None)
@given(st.lists(EVENTS, max_size=40), st.booleans())
def test_whatever_is_pressed_answers_that_are_taken_hold_and_the_page_can_be_drawn(
    events: list[ScreenEvent], known: bool
) -> None:
    one = form(*ALL, MODE, costs=costly, answered="all of it" if known else "")
    for event in events:
        before = one
        one = after(one, event, lambda x, y: ROWS[x])
        page = page_of(one)
        assert one.stage in ENDED or one.helping or page.item(one.chosen) is not None
        assert [field.key for field in one.fields] == [*KEYS, "mode"]
        if before.stage in ENDED:
            assert one == before
        # A key changes one answer at most, and only leaving or taking ends the form.
        if one.stage == before.stage == "fields":
            texts = [(a.text, b.text) for a, b in zip(before.fields, one.fields, strict=True)]
            assert sum(a.strip() != b for a, b in texts if number_of(a) != b) <= 1
    if one.stage == "taken":
        assert {*one.answers} == {*KEYS, "mode"}
        assert one.answers["mode"] in MODES
        assert number(one.answers["lux"]) == one.answers["lux"]
        assert one.answers["shift"] in SHIFT.choices


def number_of(text: str) -> str:
    try:
        return number(text.strip())
    except ValueError:
        return text
