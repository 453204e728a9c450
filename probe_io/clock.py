"""The clock a probe stamps its readings with; deadlines always run on the machine's own monotonic clock."""

from __future__ import annotations

import time
from typing import Protocol


class ProbeClock(Protocol):
    """What tells the time of a reading and lets a fixed wait pass."""

    fast: bool
    """True when waiting takes no real time: a reading then moves the clock on by its integration time."""

    def monotonic_s(self) -> float:
        """Seconds on a clock that is never set back."""
        ...

    def sleep(self, seconds: float) -> None:
        """Let time pass."""
        ...


class SystemClock:
    """The machine's monotonic clock."""

    fast = False

    def monotonic_s(self) -> float:
        """Seconds since an arbitrary moment."""
        return time.monotonic()

    def sleep(self, seconds: float) -> None:
        """Sleep for real."""
        time.sleep(max(0.0, seconds))
