"""How far a run is: how long the steps still take, and the overlay that says so."""

from __future__ import annotations

from dataclasses import dataclass, replace

from panelwear.screen.contract import Card
from panelwear.screen.operator import Progress
from sequences.estimate import SETTING_S
from sequences.model import Hold, PutProbe, Read, Room, Shoot, Step, WarmUp

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
        case PutProbe() | Room():
            return PLACEMENT_S + (10 * reading_s if isinstance(step, Room) else 0.0)
        case Hold(seconds=seconds):
            return seconds or 15.0
        case Shoot(shot_s=shot_s):
            return sum(seconds + SETTING_S for seconds in shot_s)
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


def place_in(steps: tuple[Step, ...], step: Step) -> str:
    """Say where a step stands: "visit 3 of 12, patch 41 of 210"; of a session without either its number.

    Args:
        steps: All of the session, those that were done before an interruption too.
        step: One of them.
    """
    placed = [(one.number, one.visit) for one in steps if isinstance(one, PutProbe | Read)]
    visits = {visit for _, visit in placed if visit}
    begun = {visit for number, visit in placed if visit and number <= step.number}
    patches = [one.number for one in steps if isinstance(one, Read)]
    patch = sum(number <= step.number for number in patches)
    if not patches:
        return f"step {step.number} of {len(steps)}"
    if not patch:
        return f"before the first of {len(patches)} patches"
    where = f"visit {len(begun)} of {len(visits)}, " if visits else ""
    return f"{where}patch {patch} of {len(patches)}"


FROM_S = 6.0
"""A shorter wait shows no overlay: a card that comes and goes within seconds disturbs a dark-adapted eye."""
GONE_LEAST_S = 1.0
GONE_SHARE = 0.25
"""Last part of a wait, of at least ``GONE_LEAST_S``, in which the bare patch stands: what is read has settled then."""
REMOVAL_S = 0.7
"""Longest a card takes to go: a fade of 0.3 s, drawn on a large screen (0.4 s seen on one of 1920 x 1080)."""


@dataclass(frozen=True, slots=True)
class Overlay:
    """What lies over the patch in a wait, from its beginning until ``remove_s`` before its end."""

    card: Card
    remove_s: float


def overlay_in(card: Card | None, seconds: float, corner: str) -> Overlay | None:
    """Return the overlay of a wait, or ``None`` where the wait has no room for one.

    Args:
        card: What it would say; ``None``: nothing.
        seconds: Length of the wait.
        corner: Where it does not disturb the probe.
    """
    if card is None or seconds < FROM_S:
        return None
    return Overlay(replace(card, corner=corner), max(GONE_LEAST_S, GONE_SHARE * seconds) + REMOVAL_S)


def overlay_card(progress: Progress) -> Card:
    """Make the overlay's card of one state of the run."""
    minutes = max(0, round(progress.left_s / 60))
    lines = [", ".join(part for part in (progress.place, f"about {minutes} min left") if part), progress.what]
    if progress.last_reading:
        lines.append(progress.last_reading)
    if progress.probe:
        lines.append(progress.probe)
    return Card(tuple(lines), corner="bottom-left", share_done=progress.done_share)
