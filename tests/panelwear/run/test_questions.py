"""The questions of an inspection, and what is said when it is stopped among them."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from panelwear.errors import Stopped
from panelwear.folder import checkpoint
from panelwear.run.session import run_checkpoint
from panelwear.screen.operator import Inquiry, Question
from panelwear.screen.placing_page import PLACING
from panelwear.screen.questions import QUESTIONS, TOPICS, with_default, within_hours
from panelwear.simulation.scripted import ScriptedOperator
from sequences.model import AskFacts
from tests.panelwear.run.bench import Stand, small_steps


class Asked(ScriptedOperator):
    """Keeps the questions as they were put."""

    def __init__(self) -> None:
        super().__init__()
        self.inquiries: list[Inquiry] = []

    @property
    def questions(self) -> list[Question]:
        return [question for inquiry in self.inquiries for question in inquiry.questions]

    def ask_all(self, inquiry: Inquiry) -> dict[str, str]:
        self.inquiries.append(inquiry)
        return super().ask_all(inquiry)


class Leaves(ScriptedOperator):
    """Presses Escape at the questions."""

    def ask_all(self, inquiry: Inquiry) -> dict[str, str]:
        raise Stopped("stopped at the screen; everything up to here is kept")


def test_all_questions_of_a_session_are_asked_at_once_under_short_labels(tmp_path: Path) -> None:
    stand, person = Stand(tmp_path / "harbour-desk"), Asked()
    run_checkpoint(replace(stand.bench(), operator=person), stand.job())

    keys = (*TOPICS["settings"], *TOPICS["room"])
    assert [[q.key for q in inquiry.questions] for inquiry in person.inquiries] == [[*keys]]
    assert all(len(q.label) <= 24 and q.group for q in person.questions)
    assert [q.text for q in person.questions] == [QUESTIONS[key].text for key in keys]


def test_a_file_with_several_ask_steps_is_asked_once_and_all_answers_are_stored(tmp_path: Path) -> None:
    first, *rest = small_steps()
    later = AskFacts(99, ("temperature", "room"))
    stand, person = Stand(tmp_path / "harbour-desk", (first, *rest, later)), Asked()
    person.answers["room_C"] = "24"
    run_checkpoint(replace(stand.bench(), operator=person), stand.job())

    (inquiry,) = person.inquiries
    assert [q.key for q in inquiry.questions] == [*TOPICS["settings"], "room_lx", "room_C"]
    assert stand.checkpoint.session["answers"] == stand.checkpoint.record["answers"]
    assert stand.checkpoint.session["answers"]["room_C"] == "24"


def run_later(stand: Stand, hours: float, person: Asked) -> None:
    """Run a session of the same checkpoint some hours later."""
    bench = replace(stand.bench(), operator=person)
    bench.clock.sleep(hours * 3600)
    run_checkpoint(bench, stand.job())


@pytest.mark.parametrize(("hours", "again"), [(1.0, False), (11.9, False), (12.1, True)])
def test_what_was_answered_this_evening_is_taken_and_said_in_one_line(
    tmp_path: Path, hours: float, again: bool
) -> None:
    stand = Stand(tmp_path / "harbour-desk")
    person = Asked()
    person.answers["brightness"] = "62"
    run_checkpoint(replace(stand.bench(), operator=person), stand.job())
    later = Asked()
    run_later(stand, hours, later)

    (inquiry,) = later.inquiries
    assert (inquiry.answered == "") == again
    assert again or "in session 1 of this checkpoint" in inquiry.answered
    assert "\n" not in inquiry.answered
    assert stand.checkpoint.record["sessions"][1]["answers"]["brightness"] == "62"


def test_an_answer_that_holds_for_the_evening_is_offered_although_it_is_never_remembered(tmp_path: Path) -> None:
    steps = (AskFacts(1, ("rest", "compensation")), *small_steps()[1:])
    stand, person = Stand(tmp_path / "harbour-desk", steps), Asked()
    person.answers["rest_h"] = "8"
    run_checkpoint(replace(stand.bench(), operator=person), stand.job())
    later, next_day = Asked(), Asked()
    run_later(stand, 2, later)
    run_later(stand, 40, next_day)

    assert [{q.key: q.default for q in one.questions}["rest_h"] for one in (later, next_day)] == ["8", ""]


def test_minutes_in_the_dark_are_asked_anew_even_the_same_evening(tmp_path: Path) -> None:
    steps = (AskFacts(1, ("room", "adaptation")), *small_steps()[1:])
    stand = Stand(tmp_path / "harbour-desk", steps)
    run_checkpoint(replace(stand.bench(), operator=Asked()), stand.job())
    later = Asked()
    run_later(stand, 1, later)

    (inquiry,) = later.inquiries
    assert inquiry.answered == ""
    assert not inquiry.lit


def test_what_differs_from_last_time_is_said_with_its_cost_before_the_warm_up(tmp_path: Path) -> None:
    stand, person = Stand(tmp_path / "harbour-desk"), Asked()
    person.answers |= {"brightness": "80", "room_lx": "0.2"}
    run_checkpoint(replace(stand.bench(), operator=person), stand.job())
    stand.checkpoint.close(datetime(2026, 2, 3, 22, tzinfo=UTC))
    stand.checkpoint = checkpoint.open_or_create(
        stand.folder, "harbour-desk", 900, 12, datetime(2026, 5, 3, 20, tzinfo=UTC)
    )
    now = Asked()
    now.answers |= {"brightness": "60", "room_lx": "9"}
    run_checkpoint(replace(stand.bench(), operator=now), stand.job())

    assert {q.key: q.before for q in now.questions}["brightness"] == "80"
    (differs,) = [told for told in now.told if told.startswith("differs from last time")]
    assert "was '80', is now '60'. Cost: luminance, white point" in differs
    assert "only zones compare" in differs
    assert any(told.startswith("caution: the room is brighter than 1 lx") for told in now.told)


def test_how_the_probe_is_put_on_is_shown_before_the_first_placement_of_an_evening_alone(tmp_path: Path) -> None:
    stand, first, later, next_day = Stand(tmp_path / "harbour-desk"), Asked(), Asked(), Asked()
    run_checkpoint(replace(stand.bench(), operator=first), stand.job())
    run_later(stand, 1, later)
    run_later(stand, 40, next_day)

    shown = [sum(told == PLACING.title for told in person.told) for person in (first, later, next_day)]
    assert shown == [1, 0, 1]
    assert first.told.index(PLACING.title) < next(i for i, told in enumerate(first.told) if "on the target at" in told)
    assert any("on the target at centre, place 1 of 2" in told for told in first.told)


def test_the_refresh_rate_of_the_panel_file_is_the_default_until_it_was_answered(tmp_path: Path) -> None:
    stand, person = Stand(tmp_path / "harbour-desk"), Asked()
    job = replace(stand.job(), panel=replace(stand.panel, refresh_hz=59.94))
    run_checkpoint(replace(stand.bench(), operator=person), job)

    assert {q.key: q.default for q in person.questions}["refresh_hz"] == "59.94"
    assert stand.checkpoint.record["answers"]["refresh_hz"] == "59.94"


def test_escape_in_an_inspection_says_that_resume_goes_on(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk")
    with pytest.raises(Stopped, match=r"everything up to here is kept; 'panelwear resume .*harbour-desk' goes on"):
        run_checkpoint(replace(stand.bench(), operator=Leaves()), stand.job())

    assert stand.checkpoint.session["status"] == "stopped"


@pytest.mark.parametrize(("typed", "taken"), [("60", "60"), ("59,94 Hz", "59.94"), ("", "")])
def test_a_refresh_rate_is_a_number_with_or_without_its_unit(typed: str, taken: str) -> None:
    check = QUESTIONS["refresh_hz"].check
    assert check is not None
    assert check(typed) == taken


@pytest.mark.parametrize("typed", ["2", "5000", "sixty"])
def test_a_mistyped_refresh_rate_is_put_again_and_never_offered_as_the_default(typed: str) -> None:
    check = QUESTIONS["refresh_hz"].check
    assert check is not None
    with pytest.raises(ValueError, match=typed):
        check(typed)
    assert with_default(QUESTIONS["refresh_hz"], typed).default == ""
    assert with_default(QUESTIONS["refresh_hz"], "120").default == "120"


def test_a_cycle_cannot_have_run_before_the_panel_was_new() -> None:
    check = within_hours(QUESTIONS["since_cycle_h"], 500.0).check
    assert check is not None
    assert check("500") == "500"
    with pytest.raises(ValueError, match=r"501 h is outside 0\.\.500 h"):
        check("501")
