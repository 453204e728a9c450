"""When a checkpoint was begun, and what is odd about it: no moment, one of a clock never set, one still to come."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

EARLIEST = datetime(2000, 1, 1, tzinfo=UTC)
"""A clock that was never set tells years before."""
SLACK = timedelta(days=1)
"""Clocks of two machines may differ by a zone."""


def begun_at(record: Mapping[str, Any]) -> datetime | None:
    """Return when a record says that its checkpoint was begun; ``None`` where that is no moment."""
    try:
        at = datetime.fromisoformat(str(record.get("started_utc", "")))
        return at.astimezone(UTC) if at.tzinfo is not None else at.replace(tzinfo=UTC)
    except (ValueError, OverflowError):
        return None


def begun_on(record: Mapping[str, Any]) -> str:
    """Return the day it was begun, ISO 8601, UTC; empty where that is not known."""
    at = begun_at(record)
    return "" if at is None else at.date().isoformat()


def start_fault(record: Mapping[str, Any]) -> str:
    """Say that a record tells no moment; empty where it does."""
    if begun_at(record) is not None:
        return ""
    told = record.get("started_utc", "")
    return (
        f"started_utc: '{told}' is no moment such as 2026-02-03T18:00:00.000Z, so dates, days between checkpoints and "
        "what is due are not known; restore it from a copy"
    )


def start_remark(record: Mapping[str, Any], now: datetime) -> str:
    """Say that a moment can hardly be right; empty where nothing is odd, or the probe was a simulated one.

    Args:
        record: of the checkpoint.
        now: aware.
    """
    at = begun_at(record)
    probes = [session.get("probe") or {} for session in record.get("sessions", ())]
    if at is None or any(probe.get("link") == "simulated" for probe in probes):
        return ""
    if EARLIEST <= at <= now + SLACK:
        return ""
    when = "lies before the year 2000" if at < EARLIEST else "is still to come"
    return (
        f"started_utc: {at:%Y-%m-%d %H:%M} UTC {when}: the computer's clock was wrong then, or is now; days between "
        "checkpoints and what is due go by it"
    )
