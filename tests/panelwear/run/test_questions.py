"""The questions of an inspection, and what is said when it is stopped among them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from panelwear.errors import Stopped
from panelwear.run.session import run_checkpoint
from panelwear.screen.operator import Question
from panelwear.screen.questions import QUESTIONS, TOPICS, with_default, within_hours
from panelwear.simulation.scripted import ScriptedOperator
from tests.panelwear.run.bench import Stand


class Asked(ScriptedOperator):
    """Keeps the questions as they were put."""

    def __init__(self) -> None:
        super().__init__()
        self.questions: list[Question] = []

    def ask(self, question: Question) -> str:
        self.questions.append(question)
        return super().ask(question)


class Leaves(ScriptedOperator):
    """Presses Escape at the first question."""

    def ask(self, question: Question) -> str:
        raise Stopped("stopped at the screen; everything up to here is kept")


def test_every_question_says_how_many_there_are(tmp_path: Path) -> None:
    stand, person = Stand(tmp_path / "harbour-desk"), Asked()
    run_checkpoint(replace(stand.bench(), operator=person), stand.job())

    keys = (*TOPICS["settings"], *TOPICS["room"])
    assert [q.text for q in person.questions] == [
        f"{number} of {len(keys)}: {QUESTIONS[key].text}" for number, key in enumerate(keys, start=1)
    ]


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
