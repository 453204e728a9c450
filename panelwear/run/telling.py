"""Tells the person where a run stands: the last reading, the place in the run, the time that is left."""

from __future__ import annotations

from panelwear.readings.row import Row
from panelwear.run.progress import READING_S, left_seconds, overlay_card, place_in
from panelwear.run.state import RunState
from panelwear.screen.operator import Operator, Progress
from panelwear.screen.person import time_left
from sequences.model import AskFacts, CloseLook, Hold, PutProbe, Read, Room, Shoot, WarmUp

_WORDS: dict[type, str] = {
    AskFacts: "questions",
    WarmUp: "warm-up",
    Room: "black, room and probe floor",
    PutProbe: "put the probe",
    Hold: "hold for eye or camera",
    Shoot: "photographs of the panel",
    CloseLook: "the end",
}
_NEWEST_SHARE = 0.2
"""Of the newest reading in what a reading is taken to last."""


class Teller:
    """Knows what is to be said of a run.

    Args:
        state: The session.
        operator: Who is told.
    """

    def __init__(self, state: RunState, operator: Operator) -> None:
        self._state = state
        self._operator = operator
        self._reading_s = READING_S
        self._now: Progress | None = None
        self.last_reading = ""

    @property
    def where(self) -> str:
        """Where the run stands, in a line; empty before its first step."""
        now = self._now
        return "" if now is None else f"{now.place}, about {time_left(now.left_s)} left"

    def took(self, seconds: float) -> None:
        """Take note of how long a reading lasted."""
        self._reading_s += _NEWEST_SHARE * (seconds - self._reading_s)

    def read(self, row: Row) -> None:
        """Take note of a stored reading."""
        if row.Y_cd_m2 is None:
            self.last_reading = f"last: no reading ({row.note or row.flags})"
        elif row.x is not None and row.y is not None:
            self.last_reading = f"last: {row.Y_cd_m2:.4g} cd/m²  x {row.x:.4f}  y {row.y:.4f}"
        else:
            self.last_reading = f"last: {row.Y_cd_m2:.4g} cd/m²"

    def step(self, index: int) -> None:
        """Say where the run stands before step ``index`` (from 0), and make the overlay of it."""
        self._now = self._progress(index)
        self._state.overlay, self._state.where = overlay_card(self._now), self.where
        self._operator.progress(self._now)

    def _progress(self, index: int) -> Progress:
        state = self._state
        steps, warm_up = state.steps, state.warm_up_minutes
        total = left_seconds(steps, 0, self._reading_s, warm_up) or 1.0
        left = left_seconds(steps, index, self._reading_s, warm_up)
        step = steps[index]
        return Progress(
            index + 1,
            len(steps),
            1 - left / total,
            left,
            step.patch.key if isinstance(step, Read) else _WORDS[type(step)],
            self.last_reading,
            state.probe,
            place_in(state.every_step or steps, step),
            step.visit if isinstance(step, Read | PutProbe) else state.visit,
        )
