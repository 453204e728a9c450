"""Time as an argument: the real clock, and a virtual one that dwells without waiting."""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta
from typing import Protocol


class Clock(Protocol):
    """What tells the time and waits."""

    fast: bool
    """True when waiting takes no real time; never together with a visible screen."""

    def monotonic_s(self) -> float:
        """Seconds on a clock that is never set back."""
        ...

    def utc(self) -> datetime:
        """Wall-clock time, aware, UTC."""
        ...

    def sleep(self, seconds: float) -> None:
        """Let time pass."""
        ...


def local_now(clock: Clock) -> datetime:
    """Return now in the person's own zone, for dates a person reads; a virtual clock has no place and stays UTC."""
    return clock.utc() if clock.fast else clock.utc().astimezone()


class RealClock:
    """The machine's own clocks."""

    fast = False

    def monotonic_s(self) -> float:
        """Seconds on the system's monotonic clock."""
        return time.monotonic()

    def utc(self) -> datetime:
        """Return now."""
        return datetime.now(UTC)

    def sleep(self, seconds: float) -> None:
        """Sleep for real."""
        time.sleep(max(0.0, seconds))


class VirtualClock:
    """A clock that jumps: ``sleep`` costs nothing and moves both times on."""

    fast = True

    def __init__(self, start: datetime, monotonic_s: float = 1000.0) -> None:
        self._start = start
        self._origin_s = monotonic_s
        self._now_s = monotonic_s

    def monotonic_s(self) -> float:
        """Virtual seconds."""
        return self._now_s

    def utc(self) -> datetime:
        """Virtual wall-clock time."""
        return self._start + timedelta(seconds=self._now_s - self._origin_s)

    def sleep(self, seconds: float) -> None:
        """Jump ahead."""
        self._now_s += max(0.0, seconds)
