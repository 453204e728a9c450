"""What an interruption does to the panel's warmth, and what is done about it: a short watch, or the warm-up again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from panelwear.readings.row import Row
from panelwear.run.pages import Held, Way, held_question
from panelwear.run.state import RunState
from panelwear.screen.operator import Operator
from sequences.model import Step, WarmUp

SHORT_S = 600.0
"""A panel that stayed lit has hardly cooled in so long (common practice, no source); whether it is steady is read."""
DARK_S = 300.0
"""The same for a panel that stood dark but for words, as in a pause or while the meter is away (common practice, no
source); what still drifts after a shorter time the reference patches take out."""
AUTO = "auto"
TITLE = "Did the panel stay lit?"
ASKED = "Did the panel stay switched on and lit all the time, not asleep and not black?"
TO_DO = "A panel that stayed lit is still warm: its warm-up is over as soon as it reads steady."
WARM_UP, STAYED_LIT = "no", "yes"
WAYS = (
    Way(WARM_UP, "n", "No, or not known", "the panel is warmed up as planned"),
    Way(STAYED_LIT, "y", "Yes, it stayed lit", "it is watched until steady; that you said so is recorded"),
)
"""Where nobody is there, the first."""


def warm_up_after(seconds: float, state: RunState, step: Step | None) -> WarmUp | None:
    """Return the warm-up to be repeated after a pause or a time without the meter, in which the panel stood dark.

    Args:
        seconds: How long it was.
        state: The session.
        step: The step that was broken off.
    """
    number = 0 if step is None else step.number
    behind = [one for one in state.steps if isinstance(one, WarmUp) and one.number < number]
    if seconds <= DARK_S or not behind:
        return None
    last = behind[-1]
    seated = last.patch is not None and last.patch.place == state.place
    return last if seated else replace(last, patch=None)


@dataclass(frozen=True, slots=True)
class Choice:
    """How a resumed run warms up, and why."""

    short: bool
    why: str
    interrupted_s: float | None = None


def interrupted_s(record: Mapping[str, Any], rows: Sequence[Row], now: datetime) -> float | None:
    """Return how long ago a session ended, by its record, else by its last row; ``None`` where that is not known.

    Args:
        record: The session's.
        rows: The session's.
        now: This moment.
    """
    stopped = record.get("ended_utc") if record.get("status") != "running" else None
    told = stopped or (rows[-1].time_utc if rows else "")
    try:
        passed = (now - datetime.fromisoformat(str(told))).total_seconds()
    except (ValueError, TypeError):
        return None
    return passed if passed >= 0 else None


def choose_warm_up(
    wanted: str, record: Mapping[str, Any], away_s: float | None, steps: Sequence[Step], person: Operator
) -> Choice:
    """Choose between a short watch and the warm-up as planned.

    The watch is enough where the warm-up had ended with a steady panel, the interruption was short, and a person says
    that the panel stayed lit; nobody there: the warm-up.

    Args:
        wanted: ``auto``, else it is as planned.
        record: The session's.
        away_s: How long it was interrupted; ``None``: not known.
        steps: What is run now.
        person: Who is asked.
    """
    against = "as planned" if wanted != AUTO else _against(record, away_s, steps)
    if against or away_s is None:
        return Choice(False, against, away_s)
    why = f"The session was interrupted for {away_s / 60:.0f} min. {ASKED}"
    held = Held(TITLE, why, TO_DO, "What was read before is stored.", calm=True)
    if person.ask(held_question("stayed_lit", held, WAYS, pauses=False)) != STAYED_LIT:
        return Choice(False, "nobody says that the panel stayed lit", away_s)
    return Choice(True, "a person says that the panel stayed lit", away_s)


def _against(record: Mapping[str, Any], away_s: float | None, steps: Sequence[Step]) -> str:
    """Say what stands against a short watch; empty where nothing does."""
    warm = next((step for step in steps if isinstance(step, WarmUp)), None)
    if warm is None:
        return "no warm-up is due"
    if warm.patch is None:
        return "this sequence does not read its warm-up, so a short one could not be judged"
    if record.get("warm_up", {}).get("verdict") != "settled":
        return "the panel had not been read steady before the interruption"
    if away_s is None:
        return "how long the session was interrupted is not known"
    if away_s > SHORT_S:
        return f"it was interrupted for {away_s / 60:.0f} min, and stays warm for {SHORT_S / 60:.0f} min at most"
    return ""
