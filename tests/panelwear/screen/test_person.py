"""Asking on the screen and on the terminal at once."""

from __future__ import annotations

import io
import os
from collections.abc import Iterator

import pytest

from panelwear.errors import Stopped, UsageError
from panelwear.screen.operator import Operator, Progress, Question
from panelwear.screen.person import ScreenOperator, TerminalOperator, progress_line, question_line, time_left
from panelwear.screen.terminal import Terminal
from sequences.model import Place
from tests.panelwear.desk import Desk, laid_desk


@pytest.fixture
def desk() -> Iterator[Desk]:
    with laid_desk() as made:
        yield made


def number(text: str) -> str:
    value = float(text.replace(",", "."))
    if value < 0:
        raise ValueError("light cannot be negative")
    return f"{value:g}"


LUX = Question("room_lx", "Light at the panel", default="0.4", unit="lx")
KIND = Question("compensation", "Compensation done since last time?", choices=("yes", "no", "not known"))


def test_both_kinds_do_all_an_operator_can_be_asked_for(desk: Desk) -> None:
    people: list[Operator] = [desk.person, TerminalOperator(desk.terminal, desk.clock)]
    for person in people:
        for line in ("", "", "7"):
            desk.type_line(line)
        person.tell("The panel is warm.")
        person.put_probe(Place("centre", (480, 270)), "Put it down.")
        person.go_on("Ready?")
        person.progress(Progress(3, 96, 0.03, 1500, "the end"))
        person.bell()
        assert person.ask(LUX) == "7"
    said = desk.out.getvalue()
    for text in ("The panel is warm.", "Put the probe at: centre: Put it down.", "Ready?", "the end", "(lx) [0.4]:"):
        assert said.count(text) == len(people)


def test_an_answer_typed_on_the_screen_is_taken(desk: Desk) -> None:
    desk.screen.type_text("12,5x", after_s=0.1)
    desk.screen.press("backspace", after_s=0.2)
    desk.screen.press("return", after_s=0.3)
    assert desk.person.ask(Question("room_lx", "Light", unit="lx", check=number)) == "12.5"
    entries = [card.entry for card in desk.screen.note.cards if card is not None]
    assert entries[0] == ""
    assert entries[-1] == "12,5"
    assert desk.screen.card_now is None
    assert "12,5" in desk.out.getvalue()


def test_an_answer_typed_on_the_terminal_is_taken(desk: Desk) -> None:
    desk.screen.type_text("99", after_s=5.0)
    desk.type_line("7.5")
    assert desk.person.ask(LUX) == "7.5"


def test_an_empty_answer_takes_the_default_from_either_side(desk: Desk) -> None:
    desk.screen.press("return")
    assert desk.person.ask(LUX) == "0.4"
    desk.type_line("")
    assert desk.person.ask(LUX) == "0.4"


@pytest.mark.parametrize(
    ("typed", "wanted"), [("no", "no"), ("2", "no"), ("NO", "no"), ("Not", "not known"), ("Y", "yes")]
)
def test_a_choice_may_be_given_by_word_number_or_beginning_in_any_case(desk: Desk, typed: str, wanted: str) -> None:
    desk.type_line(typed)
    assert desk.person.ask(KIND) == wanted


def test_a_beginning_of_two_choices_is_asked_again(desk: Desk) -> None:
    desk.type_line("N")
    desk.type_line("not")
    assert desk.person.ask(KIND) == "not known"
    assert "'N' is none of: yes, no, not known" in desk.out.getvalue()


def test_arrow_keys_walk_the_choices(desk: Desk) -> None:
    desk.screen.press("down", "down", "down", "up")
    desk.screen.press("return", after_s=0.1)
    assert desk.person.ask(KIND) == "no"


def test_a_bad_answer_is_asked_again_with_the_reason_on_both_sides(desk: Desk) -> None:
    desk.type_line("-3")
    desk.type_line("3")
    assert desk.person.ask(Question("room_lx", "Light", unit="lx", check=number)) == "3"
    assert "light cannot be negative" in desk.out.getvalue()
    assert any(card is not None and "light cannot be negative" in card.lines for card in desk.screen.note.cards)


@pytest.mark.parametrize("kind", ["escape", "quit"])
def test_escape_and_a_closed_window_stop_every_prompt(desk: Desk, kind: str) -> None:
    for prompt in (lambda: desk.person.ask(LUX), lambda: desk.person.go_on("Ready?")):
        if kind == "escape":
            desk.screen.press("escape")
        else:
            desk.screen.happen("quit")
        with pytest.raises(Stopped):
            prompt()


@pytest.mark.parametrize("way", ["return", "space", "click", "terminal"])
def test_the_probe_prompt_goes_on_in_every_way(desk: Desk, way: str) -> None:
    if way == "terminal":
        desk.type_line("")
    elif way == "click":
        desk.screen.happen("pointer-down", after_s=0.2, button=1)
    else:
        desk.screen.press(way, after_s=0.2)
    desk.person.put_probe(Place("x100y900", (96, 486)), "Lift it, wipe the cup, put it on the bracket.")
    card = desk.screen.note.cards[0]
    assert card is not None
    assert card.corner == "top-right"
    assert card.title == "Put the probe at: lower left"
    assert desk.screen.card_now is None


def test_what_is_told_waits_for_the_next_card(desk: Desk) -> None:
    desk.person.tell("The panel is warm.")
    assert desk.screen.note.cards == []
    assert desk.out.getvalue() == "The panel is warm.\n"
    desk.screen.press("return", after_s=0.5)
    desk.person.go_on("Ready?")
    card = desk.screen.note.cards[0]
    assert card is not None
    assert "The panel is warm." in card.lines


def test_progress_is_said_on_the_terminal_and_leaves_the_field_alone(desk: Desk) -> None:
    desk.person.progress(Progress(3, 96, 0.03, 1500, "ramp/centre/grey/Y50/w10", "50.1 cd/m²"))
    assert desk.screen.note.cards == []
    assert "ramp/centre/grey/Y50/w10" in desk.out.getvalue()


def test_the_screen_is_kept_alive_while_waiting(desk: Desk) -> None:
    desk.screen.press("return", after_s=1.0)
    desk.person.go_on("Ready?")
    assert desk.screen.polls >= 1.0 / 0.05


def test_a_terminal_that_has_ended_leaves_the_screen(desk: Desk) -> None:
    desk.hang_up()
    desk.screen.press("return", after_s=0.5)
    assert desk.person.ask(LUX) == "0.4"


def test_without_a_screen_an_ended_terminal_is_said_and_does_not_hang(desk: Desk) -> None:
    desk.hang_up()
    with pytest.raises(UsageError, match="standard input has ended"):
        TerminalOperator(desk.terminal, desk.clock).ask(LUX)


def test_a_last_line_without_its_end_still_counts(desk: Desk) -> None:
    os.write(desk._typing, b"5")
    desk.hang_up()
    assert TerminalOperator(desk.terminal, desk.clock).ask(LUX) == "5"


def test_lines_are_worded_for_the_terminal() -> None:
    assert question_line(LUX) == "Light at the panel (lx) [0.4]:"
    assert question_line(KIND).endswith("[1 yes / 2 no / 3 not known]:")
    line = progress_line(Progress(10, 40, 0.25, 3900, "grid/centre/grey/c128/full"))
    assert line == "[=====               ]  25 %  step 10 of 40  65 min left  grid/centre/grey/c128/full"
    assert [time_left(s) for s in (-1, 45, 720, 7500)] == ["0 s", "45 s", "12 min", "2 h 05 min"]


def test_a_running_line_is_written_over_on_a_terminal_only() -> None:
    class Console(io.StringIO):
        def isatty(self) -> bool:
            return True

    console, file = Console(), io.StringIO()
    for sink in (console, file):
        terminal = Terminal(io.StringIO(), sink)
        terminal.running("step 10 of 40")
        terminal.running("step 11")
        terminal.bell()
        terminal.say("done")
        terminal.prompt("ready?")
    blank = f"\r{' ' * len('step 11')}\r"
    assert console.getvalue() == f"\rstep 10 of 40\rstep 11      \a{blank}done\nstep 11{blank}ready? "
    assert file.getvalue() == "step 10 of 40\nstep 11\ndone\nready?\n"


def test_what_is_said_and_asked_is_broken_as_wide_as_the_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    sink = io.StringIO()
    terminal = Terminal(io.StringIO(), sink)
    terminal.say("  The panel was warmed up for twenty minutes, and its white is 398 ± 16 cd/m² now.")
    terminal.prompt("Put the probe on the target in the middle, and press Return")
    assert sink.getvalue().splitlines() == [
        "  The panel was warmed up for twenty",
        "    minutes, and its white is",
        "    398 ± 16 cd/m² now.",
        "Put the probe on the target in the",
        "  middle, and press Return",
    ]


def test_a_quiet_terminal_has_no_line_of_progress() -> None:
    sink = io.StringIO()
    terminal = Terminal(io.StringIO(), sink, quiet=True)
    terminal.running("step 10 of 40")
    terminal.say("done")
    assert sink.getvalue() == "done\n"


def test_in_a_file_a_visit_is_one_line_and_on_a_terminal_one_line_stays(desk: Desk) -> None:
    for number in range(1, 9):
        place = f"visit {1 + number // 5} of 2, patch {number} of 8"
        desk.person.progress(Progress(number, 9, 0.1 * number, 100.0, "ramp", place=place, visit=1 + number // 5))
    told = desk.out.getvalue().splitlines()
    assert ["visit 1 of 2, patch 1 of 8" in told[0], "visit 2 of 2, patch 5 of 8" in told[1], len(told)] == [
        True,
        True,
        2,
    ]


def test_a_mouse_alone_can_answer(desk: Desk) -> None:
    for at_s in (0.1, 0.2):
        desk.screen.happen("wheel", after_s=at_s, button=-1)
    desk.screen.happen("pointer-down", after_s=0.3, button=1)
    assert desk.person.ask(KIND) == "no"
    desk.screen.happen("wheel", after_s=0.1, button=1)
    desk.screen.happen("pointer-down", after_s=0.2, button=1)
    assert desk.person.ask(KIND) == "not known"
    desk.screen.happen("pointer-down", after_s=0.1, button=1)
    assert desk.person.ask(LUX) == "0.4"


def test_escape_wins_over_a_return_of_the_same_moment(desk: Desk) -> None:
    for prompt in (lambda: desk.person.ask(LUX), lambda: desk.person.go_on("Ready?")):
        desk.screen.press("return", "escape")
        with pytest.raises(Stopped):
            prompt()


AT_A_METER = Question("reading", "Type Y as the meter shows it", away_from=(96.0, 486.0))


def test_a_question_away_from_a_spot_is_one_line_in_the_farthest_corner(desk: Desk) -> None:
    desk.screen.type_text("182", after_s=0.2)
    desk.screen.press("return", after_s=0.4)
    assert desk.person.ask(AT_A_METER) == "182"
    cards = [card for card in desk.screen.note.cards if card is not None]
    assert all(card.one_line and card.corner == "top-right" for card in cards)
    assert "182_" in " ".join(cards[-1].lines)
    assert desk.screen.card_now is not None  # it goes with the next frame, and does not flicker in between
    assert "Type Y as the meter shows it:" in desk.out.getvalue()


def test_whoever_waits_with_a_question_hears_what_happens_at_the_screen(desk: Desk) -> None:
    heard: list[str] = []
    desk.screen.happen("expose", after_s=0.1)
    desk.screen.happen("focus-lost", after_s=0.2)
    desk.screen.press("return", after_s=0.3)
    question = Question(
        "reading", "Y", default="1", watch=lambda events: heard.extend(event.kind for event in events if event.disturbs)
    )
    assert desk.person.ask(question) == "1"
    assert heard == ["expose", "focus-lost"]


def test_a_prompt_begins_on_a_line_of_its_own_and_nothing_is_written_behind_it(desk: Desk) -> None:
    class Console(io.StringIO):
        def isatty(self) -> bool:
            return True

    console = Console()
    person = ScreenOperator(desk.screen, Terminal(desk.source, console), desk.clock)
    person.progress(Progress(10, 40, 0.25, 3900, "the end"))
    desk.screen.press("return")
    assert person.ask(LUX) == "0.4"
    person.progress(Progress(11, 40, 0.25, 3900, "the end"))
    desk.screen.press("escape")
    with pytest.raises(Stopped):
        person.ask(LUX)
    person.tell("stopped")
    lines = [line.rpartition("\r")[2] for line in console.getvalue().split("\n")]  # what is seen of each
    assert lines[:1] == ["Light at the panel (lx) [0.4]: "]
    assert lines[-3:] == ["Light at the panel (lx) [0.4]: ", "stopped", ""]


FELL = Question(
    "fell",
    "Has the probe fallen?\ncentre reads 0.004 cd/m²: 54.9 cd/m² was to be expected.",
    "again",
    ("again", "stop"),
    means=("you put it right first", "everything read is stored"),
)


def test_a_question_about_the_probe_says_its_keys_and_nothing_twice(desk: Desk) -> None:
    desk.person.tell("The panel is warm.")
    desk.person.tell("centre reads 0.004 cd/m²: 54.9 cd/m² was to be expected")
    desk.screen.type_text("2", after_s=0.1)
    desk.screen.press("return", after_s=0.2)
    assert desk.person.ask(FELL) == "stop"
    card = next(card for card in desk.screen.note.cards if card is not None)
    assert card.title == "Has the probe fallen?"
    assert card.lines == (
        "centre reads 0.004 cd/m²: 54.9 cd/m² was to be expected.",
        "The panel is warm.",
        "1  again: you put it right first",
        "2  stop: everything read is stored",
        "A number, or up and down, chooses. Return or a click takes it, with nothing chosen: again; Escape stops.",
    )
    line = question_line(FELL)
    assert "\n" not in line
    assert "[1 again: you put it right first / 2 stop: everything read is stored] [again]:" in line


def test_where_to_put_the_probe_can_be_read_with_it_in_the_hand(desk: Desk) -> None:
    desk.type_line("")
    desk.person.put_probe(Place("x900y900", (864, 486)), "Put it down.")
    card = next(card for card in desk.screen.note.cards if card is not None)
    assert card.by_hand
    assert card.corner == "top-left"


def test_a_question_of_a_session_stays_dim_and_in_the_middle(desk: Desk) -> None:
    desk.type_line("")
    desk.person.ask(LUX)
    card = next(card for card in desk.screen.note.cards if card is not None)
    assert (card.by_hand, card.corner) == (False, "centre")
    assert card.lines == ("Return or a click takes it, with nothing typed: 0.4 lx; Escape stops.",)
