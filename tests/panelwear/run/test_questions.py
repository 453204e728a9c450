"""The questions of an inspection, and what is said when it is stopped among them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from panelwear.errors import Stopped
from panelwear.run.session import run_checkpoint
from panelwear.screen.operator import Question
from panelwear.screen.questions import QUESTIONS, TOPICS
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
    with pytest.raises(Stopped, match="everything up to here is kept; 'panelwear resume' goes on"):
        run_checkpoint(replace(stand.bench(), operator=Leaves()), stand.job())

    assert stand.checkpoint.session["status"] == "stopped"
