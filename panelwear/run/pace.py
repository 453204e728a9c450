"""How long the steps still take, for the progress line."""

from __future__ import annotations

from sequences.model import Hold, PutProbe, Read, Room, Step, WarmUp

FADE_S = 0.4
PLACEMENT_S = 25.0
READING_S = 1.0
"""What a reading is taken to last until the run has seen some."""


def step_seconds(step: Step, reading_s: float = READING_S) -> float:
    """Estimate one step."""
    match step:
        case Read(patch=patch):
            return FADE_S + patch.settle_s + patch.reads.n * reading_s
        case WarmUp(minutes=minutes):
            return minutes * 60
        case PutProbe():
            return PLACEMENT_S
        case Room():
            return PLACEMENT_S + 10 * reading_s
        case Hold(seconds=seconds):
            return seconds or 15.0
        case _:
            return 5.0


def left_seconds(
    steps: tuple[Step, ...], done: int, reading_s: float = READING_S, warm_up_minutes: float | None = None
) -> float:
    """Estimate what is left after the first ``done`` steps; ``warm_up_minutes`` stands for the sequence's."""

    def seconds(step: Step) -> float:
        cut = isinstance(step, WarmUp) and warm_up_minutes is not None
        return (warm_up_minutes or 0.0) * 60 if cut else step_seconds(step, reading_s)

    return sum(seconds(step) for step in steps[done:])
