"""Where to go on after a kill or an unplugged probe: a pure function of the steps, the stored rows and the record.

What stands is everything up to the last finished visit (with the whole quadruple it belongs to). What is run: the probe
back to where the warm-up is read, the warm-up, then the steps after that visit.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from panelwear.panel.reads import is_two_stage
from panelwear.readings.corrections import replaced_rows
from panelwear.readings.row import Row
from panelwear.readings.table import UNUSABLE_FLAGS
from sequences.expand import restart_step
from sequences.model import AskFacts, Hold, Place, PutProbe, Read, Room, Shoot, Step, WarmUp

WARMING = ("warm-up", "settling", "locate", "control")
"""Purposes of rows that belong to a warm-up, a placement or the line's proof, which are repeated anyway."""


@dataclass(frozen=True, slots=True)
class ResumePoint:
    """What to keep and what to run."""

    keep_rows: int
    """Rows of the session that stand; the rest is set aside and read again."""
    steps: tuple[Step, ...]
    """What is run now: warm-up again, then everything from the unfinished visit or quadruple on."""
    why: str


@dataclass(frozen=True, slots=True)
class Done:
    """What the stored record says was finished, beside the rows."""

    asked: bool = False
    room: bool = False
    held: Collection[int] = ()
    """Numbers of the hold and shoot steps that were held."""


def _has_all_readings(step: Read, rows: Sequence[Row]) -> bool:
    """Whether a read step has all its readings; with two-stage reading the second stage cannot be told, so no."""
    if is_two_stage(step.patch.reads):
        return False
    spoiled = [flag for flag in UNUSABLE_FLAGS if flag != "skipped"]
    good = {
        row.repeat
        for row in rows
        if row.step == step.number
        and (row.Y_cd_m2 is not None or "skipped" in row.flags)
        and not any(flag in row.flags.split() for flag in spoiled)
    }
    return len(good) >= step.patch.reads.n


def _ends_a_visit(steps: Sequence[Step], position: int) -> bool:
    """Whether a visit, and the quadruple it may belong to, ends with the step at ``position``."""
    following = next((s for s in steps[position + 1 :] if isinstance(s, Read)), None)
    return following is None or restart_step(tuple(steps), following.number) > steps[position].number


def _restart_index(steps: Sequence[Step], rows: Sequence[Row], done: Done) -> int:
    """Index of the first step that is not behind us."""
    if not rows:
        return 0
    position = next(i for i, step in enumerate(steps) if step.number == rows[-1].step)
    last = steps[position]
    if isinstance(last, Room):
        return position + 1 if done.room else position
    if isinstance(last, Read) and _has_all_readings(last, rows) and _ends_a_visit(steps, position):
        return position + 1
    restart = restart_step(tuple(steps), last.number)
    return next(i for i, step in enumerate(steps) if step.number == restart)


def other_step(steps: Sequence[Step], rows: Sequence[Row]) -> str:
    """Say which stored row was read where its step would not read now; empty: all of them fit.

    A zone that was added or moved since turns the way round: what is missing could not be told from what was read.

    Args:
        steps: All steps, as they are expanded now.
        rows: The session's stored rows.
    """
    read = {step.number: step.patch.place for step in steps if isinstance(step, Read | Room | WarmUp) and step.patch}
    for row in rows:
        place = read.get(row.step)
        if place is None or place.name != row.place:
            now = f"reads at {place.name}" if place else "reads nothing"
            return f"row {row.row} was read at {row.place or 'no place'} by step {row.step}, which now {now}"
    return ""


def _needs_the_probe(step: Step) -> Place | None:
    """Where the probe has to sit for a step, if it matters."""
    match step:
        case Read(patch=patch) | Room(patch=patch):
            return patch.place
        case WarmUp(patch=patch) if patch is not None:
            return patch.place
        case _:
            return None


def _seated(steps: Sequence[Step], every: Sequence[Step]) -> tuple[Step, ...]:
    """Put the probe down before the first step that needs it, where no placement comes first."""
    for step in steps:
        if isinstance(step, PutProbe):
            break
        place = _needs_the_probe(step)
        if place is not None:
            earlier = [s for s in every if isinstance(s, PutProbe) and s.place == place and s.number < step.number]
            return (*earlier[-1:], *steps)
    return tuple(steps)


def _with_warm_up(steps: tuple[Step, ...], ahead: Sequence[Step]) -> tuple[Step, ...]:
    """Put the last warm-up that is behind us in front of what is left, where something is left to read."""
    behind = [step for step in ahead if isinstance(step, WarmUp)]
    first = next((s for s in steps if isinstance(s, Read | WarmUp)), None)
    if not behind or first is None or isinstance(first, WarmUp):
        return steps
    warm = behind[-1]
    if steps and isinstance(steps[0], PutProbe) and _needs_the_probe(warm) in (None, steps[0].place):
        return (steps[0], warm, *steps[1:])
    return (warm, *steps)


def resume_point(steps: Sequence[Step], rows: Sequence[Row], done: Done) -> ResumePoint:
    """Find where to go on.

    Args:
        steps: All steps of the session, as they were expanded at its start.
        rows: The session's stored rows, in order.
        done: What the record says was finished.
    """
    gone = replaced_rows(row.flags for row in rows)
    counted = [row for row in rows if row.purpose not in WARMING and row.row not in gone]
    index = _restart_index(steps, counted, done)
    left = tuple(
        step
        for step in steps[index:]
        if not (isinstance(step, AskFacts) and done.asked)
        and not (isinstance(step, Hold | Shoot) and step.number in done.held)
    )
    again = {step.number for step in left}
    keep = len(rows)
    while keep and (rows[keep - 1].step in again or rows[keep - 1].purpose in WARMING):
        keep -= 1
    to_read = next((s for s in left if isinstance(s, Read | Room)), None)
    where = f"from step {to_read.number}" if to_read is not None else "nothing is left to read"
    return ResumePoint(keep, _seated(_with_warm_up(left, steps[:index]), steps), where)
