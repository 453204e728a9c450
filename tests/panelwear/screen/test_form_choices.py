"""The form: many choices, rows that follow from others, the mouse, and whatever else may be pressed."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from panelwear.screen.contract import ScreenEvent
from panelwear.screen.form import BACK, CHANGE, ENDED, LEAVE, STAY, TAKE, Form, begun
from panelwear.screen.form_keys import after
from panelwear.screen.form_page import page_of
from panelwear.screen.operator import Inquiry, Question
from panelwear.screen.page import Words
from tests.panelwear.screen.form_hand import (
    ALL,
    BRIGHTNESS,
    KEYS,
    MODE,
    MODES,
    NOTE,
    SHIFT,
    at,
    clicked,
    costly,
    form,
    item,
    nothing_there,
    number,
    pressed,
    text_of,
    typed,
)

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
