"""Show one patch, settle, take one reading: what every step that reads is made of."""

from __future__ import annotations

import math
from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from panelwear.errors import ProbeFault
from panelwear.panel.resolve import Resolved
from panelwear.readings.row import Row
from panelwear.run.messages import Append, Ask, Measure, Measured, Message, Show, Tell, Wait
from panelwear.run.pages import Held, Way, held_question, stop_way
from panelwear.run.rows import RowDraft
from panelwear.run.state import RunState
from panelwear.run.steps.after_outage import Reader, is_watched, steady_again
from panelwear.run.steps.control import CONTROL, ControlReader, prove_line
from panelwear.run.steps.implausible import Doorkeeper
from panelwear.screen.contract import Shown
from patterns.frame import Frame
from probe_io.reading import Reading
from sequences.model import Patch

_TRIES = 3
"""A disturbed or failed reading is repeated up to this often before the person is asked."""


class TooBrightError(ProbeFault):
    """The patch is brighter than the probe can read; where a run can do without it, it is left out."""


@dataclass(frozen=True, slots=True)
class Target:
    """What is read: a patch at its codes, and what the rows say of it."""

    patch: Patch
    resolved: Resolved
    pair: str = ""
    purpose: str = ""
    """Overrides the patch's own purpose."""
    note: str = ""


def _integration_s(state: RunState, patch: Patch) -> float | None:
    """Round a stated integration time to whole refresh periods; the probe's own choice stays its own."""
    if patch.integration_s is None:
        return None
    from panelwear.panel.reads import whole_periods

    return whole_periods(patch.integration_s, state.panel.refresh_hz)


def show_settled(state: RunState, target: Target) -> Generator[Message, Any, Shown]:
    """Show the patch and let it settle: as long as the sequence says, or as was measured, whichever is longer."""
    frame = state.frame_of(target.patch, target.resolved.codes)
    return (yield from frame_settled(state, target.patch, frame))


def frame_settled(state: RunState, patch: Patch, frame: Frame) -> Generator[Message, Any, Shown]:
    """Show a frame (again) and let it settle as long as its patch needs."""
    shown: Shown = yield Show(frame)
    state.resettle = False
    yield Wait(max(patch.settle_s, state.settle_s), card=state.overlay)
    return shown


def _flags(state: RunState, measured: Measured, tries: int, before: Sequence[Row], door: Doorkeeper) -> tuple[str, ...]:
    said = {
        "limiter": _dims(state, measured, before),
        "disturbed": measured.disturbed,
        "retried": tries > 1 or (measured.reading.Y_cd_m2 is None and not measured.reading.flags),
        "not-settled": state.not_settled,
        **({} if measured.disturbed else door.flags(measured.reading.Y_cd_m2)),
    }
    return tuple(flag for flag, is_so in said.items() if is_so)


def _dims(state: RunState, measured: Measured, before: Sequence[Row]) -> bool:
    """Tell whether the patch has dimmed while it stood, this reading included."""
    from panelwear.panel.standing import FEWEST, standing_slope

    Y, floor = measured.reading.Y_cd_m2, state.probe_settings.floor_cd_m2
    if Y is None or floor > Y or len(before) + 1 < FEWEST:
        return False
    times = [*(row.monotonic_s for row in before), measured.reading.requested_at_s]
    noise = state.noise
    u_rel, dof = (noise.sd(Y) / Y, noise.dof) if noise is not None and Y > 0 else (0.0, 0.0)
    return standing_slope(times, [*(row.Y_cd_m2 or float("nan") for row in before), Y], u_rel, dof).dimming


def _believable(reading: Reading) -> Reading:
    """Take a reading that is no number, from whatever plug-in, for the failure it is."""
    values = (reading.X_cd_m2, reading.Y_cd_m2, reading.Z_cd_m2)
    if all(value is None or math.isfinite(value) for value in values):
        return reading
    return replace(reading, X_cd_m2=None, Y_cd_m2=None, Z_cd_m2=None, note="the probe sent no finite number")


def one_reading(
    state: RunState, target: Target, shown: Shown, repeat: int, before: Sequence[Row] = ()
) -> Generator[Message, Any, Row | None]:
    """Take one reading and store it; disturbed and failed ones are stored too, said so, and repeated.

    Args:
        state: The session.
        target: What is read.
        shown: What is on the screen.
        repeat: Number of the reading, from 1.
        before: The readings of this patch since it was shown, to notice when it dims while it stands.

    Returns:
        The usable row, or ``None`` when the person skipped the reading.

    Raises:
        TooBrightError: every try was over the probe's range.
    """
    tries = over = 0
    door = Doorkeeper(state, target.patch, target.resolved, target.purpose, shown.frame)
    while True:
        tries += 1
        shown = yield from _made_ready(state, target, shown)
        measured: Measured = yield Measure(
            _integration_s(state, target.patch), unlit=target.purpose == "screen-off", line=state.line
        )
        state.line, state.unproved = "", measured.control_due
        if measured.again:
            tries -= 1
            continue
        reading = _believable(measured.reading)
        flags = _flags(state, replace(measured, reading=reading), tries, before, door)
        row: Row = yield Append(_draft(target, measured, measured.shown or shown, reading, repeat, flags))
        if "skipped" in reading.flags:
            return None
        if measured.away:
            tries -= 1
            continue
        over += "over-range" in reading.flags
        if row.Y_cd_m2 is not None and not measured.disturbed and "over-range" not in reading.flags:
            if (yield from door.passes(row)):
                return row
            continue
        state.resettle |= measured.disturbed
        if measured.disturbed:
            yield Tell(f"{target.patch.key}: {measured.why}; this reading is flagged 'disturbed' and taken again")
        if over == tries == _TRIES:
            raise TooBrightError(f"{target.patch.key} is brighter than the probe can read")
        if tries % _TRIES == 0:
            why = f"the screen was disturbed; {measured.why}" if measured.disturbed else (row.note or row.flags)
            if not (yield from _try_again(state, f"{target.patch.key}: no good reading in {tries} tries ({why})")):
                return None


def _draft(  # noqa: PLR0917 - what one row is made of
    target: Target, measured: Measured, shown: Shown, reading: Reading, repeat: int, flags: tuple[str, ...]
) -> RowDraft:
    note = "; ".join(part for part in (measured.why, target.note) if part)
    return RowDraft(
        target.patch,
        target.resolved,
        shown,
        reading,
        measured.time_utc,
        repeat,
        target.pair,
        target.purpose,
        flags,
        note,
    )


def _made_ready(state: RunState, target: Target, shown: Shown) -> Generator[Message, Any, Shown]:
    """Prove the line, settle the frame anew and wait for a steady panel, each where it is due; returns what is on."""
    if state.unproved and target.patch.purpose != CONTROL and not target.purpose:
        yield from prove_line(state, target.patch, target.resolved, _other_patch(state, target))
    if state.resettle:  # the frame that was on: not every one is a pattern by name
        shown = yield from frame_settled(state, target.patch, shown.frame)
    if is_watched(state, target.patch, target.purpose):
        yield from steady_again(state, target.patch, _same_patch(state, target, shown))
    return shown


def _same_patch(state: RunState, target: Target, shown: Shown) -> Reader:
    """Read the patch that is on in rows of another purpose."""
    return lambda patch, number: one_reading(state, replace(target, patch=patch, purpose=""), shown, number)


def _other_patch(state: RunState, target: Target) -> ControlReader:
    """Show a known patch in the place of the one that is read, and read it."""

    def read(patch: Patch, known: Resolved, number: int) -> Generator[Message, Any, Row | None]:
        control = Target(patch, known)
        shown = yield from show_settled(state, control)
        return (yield from one_reading(state, control, shown, number))

    return read


NO_READING = "No good reading of this patch"
LOOK = "Look at the probe: does it sit flat on its place, is its cable in, is it switched on?"
WAYS = (
    Way("again", "r", "Try again", "the same patch is read again"),
    Way("skip", "k", "Skip this reading", "the run goes on without it; no figure rests on it"),
    stop_way("stop"),
)


def _try_again(state: RunState, what: str) -> Generator[Message, Any, bool]:
    """Ask whether to go on trying; ``False``: skip this reading."""
    answer = "stop"
    if not state.unattended:
        question = held_question("go_on", Held(NO_READING, f"{what}.", LOOK, state.safe, state.where), WAYS)
        answer = yield Ask(question)
        state.resettle = True  # the question stood in the place of the patch
    if answer == "stop":
        raise ProbeFault(f"{what}; what was read is stored: look at the probe, then 'panelwear resume'")
    return answer == "again"
