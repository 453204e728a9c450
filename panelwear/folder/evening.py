"""What was done this evening already: what an earlier session of the same checkpoint asked is not asked again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from panelwear.folder.checkpoint import Checkpoint

EVENING_H = 12.0
"""Sessions of one checkpoint that begin within so many hours belong to one evening."""


@dataclass(frozen=True, slots=True)
class Given:
    """Answers of this evening."""

    answers: dict[str, str] = field(default_factory=dict)
    told: str = ""
    """When and in which session the newest were given, in words; empty: none were."""


def of_this_evening(checkpoint: Checkpoint, now: datetime, before: int) -> Iterator[Mapping[str, Any]]:
    """Yield the records of the sessions of this evening, oldest first.

    Args:
        checkpoint: The checkpoint.
        now: The present moment, with its zone.
        before: Only sessions with a smaller number.
    """
    for session in checkpoint.record["sessions"]:
        age_s = _age_s(session, now)
        if session["number"] < before and age_s is not None and 0 <= age_s <= EVENING_H * 3600:
            yield session


def given_this_evening(checkpoint: Checkpoint, now: datetime, before: int) -> Given:
    """Collect what was answered this evening, as amended since; arguments as ``of_this_evening``."""
    known = checkpoint.corrected["answers"]
    answers: dict[str, str] = {}
    told = ""
    for session in of_this_evening(checkpoint, now, before):
        stored = session.get("answers")
        if isinstance(stored, dict) and stored:
            answers |= {key: str(known.get(key, value)) for key, value in stored.items()}
            told = f"{_ago(_age_s(session, now) or 0.0)} ago, in session {session['number']} of this checkpoint"
    return Given(answers, told)


def _age_s(session: Mapping[str, Any], now: datetime) -> float | None:
    """Seconds since a session began; ``None``: its record does not tell."""
    try:
        began = datetime.fromisoformat(str(session.get("started_utc", "")).replace("Z", "+00:00"))
        return (now - began).total_seconds()
    except (ValueError, TypeError):
        return None


def _ago(seconds: float) -> str:
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 100 else f"{minutes // 60} h {minutes % 60:02d} min"
