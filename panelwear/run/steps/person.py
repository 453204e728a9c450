"""Steps in which a person does something: answers, puts the probe down, looks at a held field, sees the end."""

from __future__ import annotations

from collections.abc import Generator, Mapping
from typing import Any

from panelwear.run.messages import (
    AskAll,
    Bell,
    Keep,
    Message,
    MoveProbe,
    ReadPage,
    Show,
    Tell,
    Wait,
)
from panelwear.run.state import RunState
from panelwear.run.steps.find_probe import find_probe
from panelwear.run.steps.guide import target_frame
from panelwear.screen import questions
from panelwear.screen.operator import Inquiry
from panelwear.screen.placing_page import PLACING
from panelwear.telling.words import counted
from patterns import build
from sequences.model import AskFacts, CloseLook, PutProbe
from sequences.place_names import told_place


def ask(step: AskFacts, state: RunState) -> Generator[Message, Any, None]:
    """Put the questions of this step and of all later ones in one form, and store the answers.

    What differs from last time and what that costs is said with it; a later step of this kind has nothing left to ask.
    """
    kept: dict[str, str] = state.facts.get("answers", {})
    topics = [topic for one in state.steps if isinstance(one, AskFacts) for topic in one.topics]
    keys = [key for topic in topics for key in questions.TOPICS[topic] if key not in kept]
    if not keys:
        return
    answers = yield AskAll(_inquiry([*dict.fromkeys(keys)], state))
    record = state.checkpoint.record
    record.setdefault("answers", {}).update(answers)
    yield Keep("answers", {**kept, **answers})


def _inquiry(keys: list[str], state: RunState) -> Inquiry:
    checkpoint, given, last = state.checkpoint, state.given, state.last_answers
    known = {**questions.stated_by(state.panel), **_stated(last), **_stated(checkpoint.corrected["answers"])}
    asked = tuple(
        questions.offered(
            questions.within_hours(questions.QUESTIONS[key], checkpoint.use.high), given.answers, known, last
        )
        for key in keys
    )

    def costs(answers: Mapping[str, str]) -> tuple[str, ...]:
        cautions = (f"caution: {sentence}" for sentence in questions.warnings(answers))
        return (*questions.differences(answers, last), *cautions)

    answered = questions.all_given(asked, given.answers, given.told)
    return Inquiry(asked, costs=costs, answered=answered, lit="adaptation_min" not in keys)


def _stated(answers: Mapping[str, str]) -> dict[str, str]:
    """Leave out what was not answered."""
    return {key: value for key, value in answers.items() if value}


_CONTACT_S = 10.0
"""The probe warms and presses the spot it is put on; then it has calmed down (common practice, no source)."""


def put_probe(step: PutProbe, state: RunState) -> Generator[Message, Any, None]:
    """Show the target and wait until the person says that the probe sits there."""
    moved = state.place is None or state.place != step.place or step.lift_first
    state.visit = step.visit
    if not state.has_probe or not moved:
        state.place = step.place
        return
    yield Bell()
    if not state.guided and not state.rows and not state.unattended:
        yield ReadPage(PLACING)
    state.guided = True
    yield Show(target_frame(state, step.place))
    again = state.place is not None and state.place == step.place
    verb = "lift the probe and put it back" if again else "put the probe"
    where = told_place(step.place.name, state.route)
    yield MoveProbe(step.place, f"{verb} on the target at {where}, flat on the glass without pressing")
    state.place = step.place
    if not state.unattended:
        yield Wait(_CONTACT_S, card=state.overlay)
    if state.locate:
        yield from find_probe(step, state)


def close_look(step: CloseLook, state: RunState) -> Generator[Message, Any, None]:
    """Fade to black, say what was stored."""
    yield Show(build("field", state.width_px, state.height_px, codes=(0.0, 0.0, 0.0)), 1.0)
    failed = sum(row.Y_cd_m2 is None for row in state.rows)
    lost = f", {failed} of them without a value" if failed else ""
    yield Tell(f"{counted(state.stored, 'reading')} stored{lost}")
    yield Bell()
