"""Steps in which a person does something: answers, puts the probe down, looks at a held field, sees the end."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import replace
from typing import Any

from panelwear.run.learned import learn
from panelwear.run.messages import ENDLESS_S, UNATTENDED_S, Ask, Bell, Keep, Message, MoveProbe, Show, Tell, Wait
from panelwear.run.state import RunState
from panelwear.run.steps.find_probe import find_probe
from panelwear.run.steps.guide import target_frame
from panelwear.screen import questions
from patterns import build
from patterns.frame import Frame
from sequences.model import AskFacts, CloseLook, Hold, PutProbe


def ask(step: AskFacts, state: RunState) -> Generator[Message, Any, None]:
    """Put each topic's question, store the answers, say what differs from last time and what it costs."""
    record = state.checkpoint.record
    stored: dict[str, str] = record.setdefault("answers", {})
    known = state.checkpoint.corrected["answers"]
    answers: dict[str, str] = {}
    stated = questions.stated_by(state.panel)
    keys = [key for topic in step.topics for key in questions.TOPICS[topic]]
    for number, key in enumerate(keys, start=1):
        question = questions.within_hours(questions.QUESTIONS[key], state.checkpoint.hours)
        before = known.get(key) or state.last_answers.get(key) or stated.get(key)
        question = questions.with_default(question, before)
        answers[key] = yield Ask(replace(question, text=f"{number} of {len(keys)}: {question.text}"))
    stored.update(answers)
    yield Keep("answers", answers)
    for sentence in questions.differences(answers, state.last_answers):
        yield Tell(f"differs from last time: {sentence}; figures of both sides are compared with that in mind")
    for sentence in questions.warnings(answers):
        yield Tell(f"caution: {sentence}")


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
    yield Show(target_frame(state, step.place))
    again = state.place is not None and state.place == step.place
    verb = "lift the probe and put it back" if again else "put the probe"
    yield MoveProbe(step.place, f"{verb} on the target at '{step.place.name}', flat on the glass without pressing")
    state.place = step.place
    if not state.unattended:
        yield Wait(_CONTACT_S, card=state.overlay)
    if state.locate:
        yield from find_probe(step, state)


def _slate(state: RunState, step: Hold) -> Frame:
    started = state.checkpoint.record["started_utc"][:10]
    return build(
        "slate",
        state.width_px,
        state.height_px,
        codes=(60.0, 60.0, 60.0),
        panel=state.panel.name,
        hours=f"{state.checkpoint.hours:g}",
        date=started,
        field=step.photo or step.patch.key,
    )


def hold(step: Hold, state: RunState) -> Generator[Message, Any, None]:
    """Show the field with nothing else on the screen, until a key or for its seconds, and record that it was held."""
    if step.patch.level.basis != "code":
        yield from learn(state)
    resolved = state.resolve(step.patch)
    frame = _slate(state, step) if step.slate else state.frame_of(step.patch, resolved.codes)
    if step.photo:
        yield Tell(f"photograph: {step.photo}")
    yield Show(frame)
    seconds = step.seconds if step.seconds is not None else ENDLESS_S
    if state.unattended and step.seconds is None:
        seconds = UNATTENDED_S
    yield Wait(seconds, until_key=True)
    held = [*state.facts.get("held", [])]
    held.append({"step": step.number, "patch": step.patch.key, "photo": step.photo, "codes": list(resolved.codes)})
    yield Keep("held", held)


def close_look(step: CloseLook, state: RunState) -> Generator[Message, Any, None]:
    """Fade to black, say what was stored."""
    yield Show(build("field", state.width_px, state.height_px, codes=(0.0, 0.0, 0.0)), 1.0)
    failed = sum(row.Y_cd_m2 is None for row in state.rows)
    lost = f", {failed} of them without a value" if failed else ""
    yield Tell(f"{state.stored} readings stored{lost}")
    yield Bell()
