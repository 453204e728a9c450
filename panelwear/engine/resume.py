"""Where to go on after a kill or an unplugged probe: a pure function of the steps and the stored rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from panelwear.journal.row import Row
from sequences.expand import restart_step
from sequences.model import Ask, PutProbe, Read, Room, Step, WarmUp

WARMING = ("warm-up", "settling")
"""Purposes of rows that belong to the warm-up, which is repeated anyway."""


@dataclass(frozen=True, slots=True)
class ResumePoint:
    """What to keep and what to run."""

    keep_rows: int
    """Rows of the sitting that stand; the rest is set aside and read again."""
    steps: tuple[Step, ...]
    """What is run now: warm-up again, then everything from the unfinished visit or quadruple on."""
    why: str


def _is_complete(step: Step, rows: Sequence[Row]) -> bool:
    """Whether a read step has all its readings; with two-stage reading the second stage cannot be told, so no."""
    if not isinstance(step, Read) or step.patch.reads.until is not None:
        return False
    good = {r.repeat for r in rows if r.step == step.number and (r.Y_cd_m2 is not None or "skipped" in r.flags)}
    return len(good) >= step.patch.reads.n


def _is_over(steps: Sequence[Step], position: int) -> bool:
    """Whether a visit, and the quadruple it may belong to, ends with the step at ``position``."""
    last = steps[position]
    following = next((s for s in steps[position + 1 :] if isinstance(s, Read)), None)
    return following is None or restart_step(tuple(steps), following.number) > last.number


def _restart_index(steps: Sequence[Step], rows: Sequence[Row]) -> int:
    """Index of the first step to run again, were there no warm-up."""
    last_number = rows[-1].step
    position = next(i for i, step in enumerate(steps) if step.number == last_number)
    if _is_complete(steps[position], rows) and _is_over(steps, position):
        return position + 1
    restart = restart_step(tuple(steps), last_number)
    return next(i for i, step in enumerate(steps) if step.number == restart)


def _with_warm_up(steps: Sequence[Step], index: int) -> tuple[Step, ...]:
    """Put the warm-up back in front of what is left, after the placement it is read at."""
    ahead = [step for step in steps[:index] if isinstance(step, WarmUp)][-1:]
    rest = tuple(steps[index:])
    if not rest or not ahead:
        return rest
    if isinstance(rest[0], PutProbe):
        return (replace(rest[0], lift_first=True), *ahead, *rest[1:])
    putting = [s for s in steps[:index] if isinstance(s, PutProbe)][-1:]
    return (*(replace(p, lift_first=True) for p in putting), *ahead, *rest)


def resume_point(steps: Sequence[Step], rows: Sequence[Row], *, asked: bool) -> ResumePoint:
    """Find where to go on.

    Args:
        steps: All steps of the sitting, as they were expanded at its start.
        rows: The sitting's stored rows, in order.
        asked: Whether the questions were answered already.
    """
    counted = [row for row in rows if row.purpose not in WARMING]
    if not counted:
        left = tuple(s for s in steps if not (asked and isinstance(s, Ask)))
        return ResumePoint(0, left, "nothing was read yet")
    index = _restart_index(steps, counted)
    again = {step.number for step in steps[index:]}
    keep = len(rows)
    while keep and (rows[keep - 1].step in again or rows[keep - 1].purpose in WARMING):
        keep -= 1
    # warm-up rows of an earlier attempt stand in front of the rows that are set aside: they stay only with rows after
    left = tuple(s for s in _with_warm_up(steps, index) if not isinstance(s, Ask))
    first = next((s for s in left if isinstance(s, (Read, Room))), None)
    where = f"from step {first.number}" if first is not None else "nothing is left to read"
    return ResumePoint(keep, left, where)
