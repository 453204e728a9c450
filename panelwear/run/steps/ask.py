"""Ask for the session's facts; last time's answers are the defaults, and differences are said."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import replace
from typing import Any

from panelwear.run.messages import Ask, Keep, Message, Tell
from panelwear.run.state import RunState
from panelwear.screen import questions
from sequences.model import AskFacts


def ask(step: AskFacts, state: RunState) -> Generator[Message, Any, None]:
    """Put each topic's question, store the answers, say what differs from last time and what it costs."""
    record = state.checkpoint.record
    stored: dict[str, str] = record.setdefault("answers", {})
    answers: dict[str, str] = {}
    stated = questions.stated_by(state.panel)
    keys = [key for topic in step.topics for key in questions.TOPICS[topic]]
    for number, key in enumerate(keys, start=1):
        question = questions.QUESTIONS[key]
        before = stored.get(key) or state.last_answers.get(key) or stated.get(key)
        if before and key not in questions.NEVER_REMEMBERED:
            question = replace(question, default=before)
        answers[key] = yield Ask(replace(question, text=f"{number} of {len(keys)}: {question.text}"))
    stored.update(answers)
    yield Keep("answers", answers)
    for sentence in questions.differences(answers, state.last_answers):
        yield Tell(f"differs from last time: {sentence}; figures of both sides are compared with that in mind")
    for sentence in questions.warnings(answers):
        yield Tell(f"caution: {sentence}")
