"""Hours of use that can hardly be right: more than time has passed, or a second checkpoint on one day."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from panelwear.folder.checkpoint import Checkpoint
from panelwear.folder.hours import Hours, as_hours, hours_told, overlap_told
from panelwear.folder.odd_start import begun_at

SLACK_H = 2.0
"""Hours are read from a menu that may round them, and a checkpoint is begun some time after."""


def odd_hours(there: Sequence[Checkpoint], hours: Hours | None, now: datetime) -> str:
    """Say what is odd about beginning a checkpoint at these hours, or nothing.

    Args:
        there: the panel's checkpoints.
        hours: as stated; one that is open at these hours is gone on with, and nothing is odd.
        now: in the zone whose days count.

    Returns:
        A sentence without its full stop; empty where nothing is odd.
    """
    begun = [(begun_at(c.record), c) for c in there]
    known = sorted(((at, c.name, c) for at, c in begun if at is not None), key=lambda one: one[:2])
    if hours is None or not known:
        return ""
    use = as_hours(hours)
    if any(not c.is_closed and c.hours == use.value for c in there):
        return ""
    at, name, last = known[-1]
    passed_h, more_h = (now - at).total_seconds() / 3600, use.low - last.use.high  # of ranges the least
    if passed_h < 0:
        return f"{name} was begun at {at:%Y-%m-%d %H:%M} UTC, which is still to come: one of the two clocks was wrong"
    if more_h > passed_h + SLACK_H:
        return (
            f"{name} was begun {_passed(passed_h)} ago at {last.use.words}: {hours_told(more_h)} h more "
            "cannot have passed since"
        )
    if at.astimezone(now.tzinfo).date() == now.date():
        return f"there is a checkpoint of today already, {name} at {last.use.words}"
    return ""


def overlap_of(there: Sequence[Checkpoint], hours: Hours | None) -> str:
    """Say that hours overlap those of the last checkpoint before them; empty where they do not."""
    if hours is None:
        return ""
    use = as_hours(hours)
    known = [c for c in there if c.is_closed and c.hours <= use.value]
    return overlap_told(known[-1].use, use, known[-1].name) if known else ""


def _passed(hours: float) -> str:
    return f"{hours / 24:.0f} days" if hours >= 48 else f"{hours:.0f} h" if hours >= 1 else "less than an hour"
