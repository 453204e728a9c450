"""What holds a run and asks is a page: what happened, what is safe, what to do, a key for each choice, no other key."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from groundwork.clock import VirtualClock
from panelwear.errors import Stopped
from panelwear.run import interruption, meter, meter_hold
from panelwear.run.orders import orders_of
from panelwear.run.pages import Held, Way, held_question, stored_words
from panelwear.run.steps import find_probe, implausible, target, without_light
from panelwear.screen.fake import ROW_PX, FakeScreen
from panelwear.screen.operator import Question, Unattended
from panelwear.screen.page import Words
from tests.panelwear.desk import Desk, laid_desk

HELD = Held("What happened", "The sentence.", "What to do.", stored_words(41, "h500"), "visit 3 of 12")
MOVED = (Way("move", "r", "Move it, and look again", ""), Way("leave", "l", "Leave it as it sits", ""), find_probe.END)
ASKED_WAYS = without_light.DARK[0].ways
ASKED = [
    held_question("implausible", HELD, implausible.WAYS),
    held_question("probe_off", HELD, find_probe.LOST),
    held_question("probe_off", HELD, MOVED),
    held_question("go_on", HELD, target.WAYS),
]
BEGUN = [
    held_question("another_meter", HELD, meter.WAYS, pauses=False),
    held_question("another_meter", HELD, meter_hold.WAYS, pauses=False),
    held_question("stayed_lit", HELD, interruption.WAYS, pauses=False),
]
"""Asked before a run begins, or while it is held already: it cannot be paused there."""
DARK = [held_question(one.purpose, HELD, one.ways) for one in without_light.DARK]
EACH = [(question, answer) for question in (*ASKED, *BEGUN, *DARK) for answer in question.choices]


@pytest.fixture
def desk() -> Iterator[Desk]:
    with laid_desk() as made:
        yield made


def key_of(question: Question, answer: str) -> str:
    assert question.page is not None
    row = question.page.item(answer)
    assert row is not None
    return row.value


@pytest.mark.parametrize(("question", "answer"), EACH)
def test_each_choice_has_a_key_and_every_other_key_does_nothing(desk: Desk, question: Question, answer: str) -> None:
    taken = {key_of(question, one) for one in question.choices}
    wrong = [letter for letter in "abcdefgijklmnoqrstuvwxyz0123456789" if letter not in taken]
    desk.screen.press(*wrong, "space", "backspace", "left", after_s=1.0)
    desk.screen.press(key_of(question, answer), after_s=3.0)
    began_s = desk.clock.monotonic_s()
    assert desk.person.ask(question) == answer
    assert desk.clock.monotonic_s() - began_s >= 3.0
    assert desk.screen.note.pages[0] == question.page


@pytest.mark.parametrize("question", [*ASKED, *BEGUN, *DARK])
def test_it_says_what_happened_what_is_safe_and_what_to_do_and_every_key(question: Question) -> None:
    page = question.page
    assert page is not None
    assert page.room == "dark"
    words = [part.text for part in page.parts if isinstance(part, Words)]
    assert words == ["The sentence.", "41 readings are stored in h500. Visit 3 of 12.", "What to do."]
    orders = {"Escape"} if question in BEGUN else {"p", "Escape"}
    assert {*[key_of(question, one) for one in question.choices], *orders} == {key for key, _ in page.keys}
    assert all(item.note or item.id in {"move", "leave"} for item in page.items)


def test_where_nothing_is_wrong_nothing_warns_and_where_nobody_is_there_the_usual_answer_holds(
    desk: Desk,
) -> None:
    calm = held_question("probe-floor", replace(HELD, calm=True, safe="", where="", to_do=""), ASKED_WAYS, usual="skip")
    assert calm.page is not None
    assert [part for part in calm.page.parts if isinstance(part, Words)] == [Words("The sentence.", "strong")]
    assert calm.page.chosen == "ready"
    assert Unattended(desk.person).ask(calm) == "skip"


def test_nobody_there_goes_on_with_no_other_meter_and_warms_up(desk: Desk) -> None:
    assert [Unattended(desk.person).ask(question) for question in BEGUN] == ["no", "wait for the first", "no"]


@pytest.mark.parametrize(("question", "answer"), EACH)
def test_a_key_of_a_choice_is_no_order_of_the_run(question: Question, answer: str) -> None:
    watch = orders_of(question)
    assert watch is not None
    desk = FakeScreen(960, 540, VirtualClock(datetime(2026, 2, 3, tzinfo=UTC)))
    desk.press(key_of(question, answer))
    watch(desk.poll())


@pytest.mark.parametrize("typed", ["i", "It is so", "it is so"])
def test_the_terminal_takes_the_key_the_words_or_the_answer_and_says_what_means_nothing(desk: Desk, typed: str) -> None:
    desk.type_line("x")
    desk.type_line(typed)
    assert desk.person.ask(ASKED[0]) == "it is so"
    assert "'x' means nothing here; [r Put it right, and read again / i It is so / s Stop here]:" in desk.out.getvalue()


def test_what_was_pressed_before_it_was_to_be_seen_takes_nothing_and_escape_stops(desk: Desk) -> None:
    desk.screen.press("return", "i")
    desk.screen.press("escape", after_s=5.0)
    with pytest.raises(Stopped):
        desk.person.ask(ASKED[0])


def test_a_row_is_clicked(desk: Desk) -> None:
    desk.screen.happen("pointer-down", after_s=2.0, x=5, y=ROW_PX + 1, button=1)
    assert desk.person.ask(ASKED[1]) == "go on"
