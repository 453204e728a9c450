"""Show a patch and read it."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass
from typing import Any

from panelwear.engine.contract import Resolved
from panelwear.engine.messages import Append, Ask, Measure, Measured, Message, Show, Wait
from panelwear.engine.rows import RowDraft
from panelwear.engine.session import Session
from panelwear.errors import ProbeFault
from panelwear.journal.row import Row
from panelwear.operator import Question
from panelwear.screen.contract import Shown
from sequences.model import Patch, Read

_TRIES = 3
"""A disturbed or failed reading is repeated up to this often before the person is asked."""


@dataclass(frozen=True, slots=True)
class Target:
    """What is read: a patch at its codes, and what the rows say of it."""

    patch: Patch
    resolved: Resolved
    pair: str = ""
    purpose: str = ""
    """Overrides the patch's own purpose."""
    note: str = ""


def read(step: Read, session: Session) -> Generator[Message, Any, None]:
    """Show the patch, let it settle, take its readings; without a probe the step is passed over."""
    if not session.has_probe:
        return
    target = Target(step.patch, session.resolve(step.patch), step.pair)
    yield from read_target(session, target)


def read_target(session: Session, target: Target) -> Generator[Message, Any, list[Row]]:
    """Show one patch, settle, and read it as often as it says; returns the usable rows."""
    shown: Shown = yield Show(session.frame_of(target.patch, target.resolved.codes))
    yield Wait(target.patch.settle_s, card=session.overlay)
    rows: list[Row] = []
    for repeat in range(1, target.patch.reads.n + 1):
        row = yield from one_reading(session, target, shown, repeat)
        if row is not None:
            rows.append(row)
    return rows


def _flags(session: Session, measured: Measured, tries: int) -> tuple[str, ...]:
    said = {
        "disturbed": measured.disturbed,
        "retried": tries > 1 or (measured.reading.Y_cd_m2 is None and not measured.reading.flags),
        "not-settled": session.not_settled,
    }
    return tuple(flag for flag, is_so in said.items() if is_so)


def one_reading(session: Session, target: Target, shown: Shown, repeat: int) -> Generator[Message, Any, Row | None]:
    """Take one reading and store it; disturbed and failed ones are stored too, said so, and repeated.

    Returns the usable row, or ``None`` when the person skipped the reading.
    """
    tries = 0
    while True:
        tries += 1
        measured: Measured = yield Measure(target.patch.integration_s)
        draft = RowDraft(
            target.patch,
            target.resolved,
            measured.shown or shown,
            measured.reading,
            measured.time_utc,
            repeat,
            target.pair,
            target.purpose,
            _flags(session, measured, tries),
            target.note,
        )
        row: Row = yield Append(draft)
        if "skipped" in measured.reading.flags:
            return None
        if row.Y_cd_m2 is not None and not measured.disturbed and "over-range" not in measured.reading.flags:
            return row
        if measured.disturbed:
            shown = yield Show(draft.shown.frame)
            yield Wait(target.patch.settle_s)
        if tries % _TRIES == 0:
            why = "the screen was disturbed" if measured.disturbed else (row.note or row.flags)
            if not (yield from _try_again(session, f"{target.patch.key}: no good reading in {tries} tries ({why})")):
                return None


def _try_again(session: Session, what: str) -> Generator[Message, Any, bool]:
    """Ask whether to go on trying; ``False``: skip this reading."""
    answer = "stop"
    if not session.unattended:
        choices = ("again", "skip", "stop")
        answer = yield Ask(Question("go_on", f"{what}. Try again, skip this reading, or stop?", "again", choices))
    if answer == "stop":
        raise ProbeFault(f"{what}; what was read is stored: look at the probe, then 'panelwear resume'")
    return answer == "again"
