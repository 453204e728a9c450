"""Hours of use that can hardly be right: more than time has passed, or a second checkpoint on one day."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

from panelwear.folder.checkpoint import Checkpoint, hours_told

SLACK_H = 2.0
"""Hours are read from a menu that may round them, and a checkpoint is begun some time after."""


def odd_hours(there: Sequence[Checkpoint], hours: float | None, now: datetime) -> str:
    """Say what is odd about beginning a checkpoint at these hours, or nothing.

    Args:
        there: the panel's checkpoints.
        hours: as stated; one that is open at these hours is gone on with, and nothing is odd.
        now: in the zone whose days count.

    Returns:
        A sentence without its full stop; empty where nothing is odd.
    """
    begun = [(_begun(c), c) for c in there]
    known = sorted(((at, c.name, c) for at, c in begun if at is not None), key=lambda one: one[:2])
    if hours is None or not known or any(not c.is_closed and c.hours == hours for c in there):
        return ""
    at, name, last = known[-1]
    passed_h, more_h = (now - at).total_seconds() / 3600, hours - last.hours
    if passed_h < 0:
        return f"{name} was begun at {at:%Y-%m-%d %H:%M} UTC, which is still to come: one of the two clocks was wrong"
    if more_h > passed_h + SLACK_H:
        return (
            f"{name} was begun {_passed(passed_h)} ago at {hours_told(last.hours)} h: {hours_told(more_h)} h more "
            "cannot have passed since"
        )
    if at.astimezone(now.tzinfo).date() == now.date():
        return f"there is a checkpoint of today already, {name} at {hours_told(last.hours)} h"
    return ""


def _begun(found: Checkpoint) -> datetime | None:
    try:
        at = datetime.fromisoformat(found.record["started_utc"])
    except ValueError:
        return None
    return at if at.tzinfo is not None else at.replace(tzinfo=UTC)


def _passed(hours: float) -> str:
    return f"{hours / 24:.0f} days" if hours >= 48 else f"{hours:.0f} h" if hours >= 1 else "less than an hour"
