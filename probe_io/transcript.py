"""Every byte that went over the line, with its time: what a person sends along when something is wrong."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

SENT, RECEIVED, DROPPED = ">", "<", "!"
"""Direction marks: sent, received, thrown away as stale."""


@dataclass(frozen=True, slots=True)
class TranscriptLine:
    """Some bytes that went one way at one time."""

    at_s: float
    """Seconds on the machine's monotonic clock."""
    direction: str
    data: bytes

    def __str__(self) -> str:
        """Write time, direction, the bytes in hexadecimal, and as text with escapes."""
        return f"{self.at_s:14.6f} {self.direction} {self.data.hex(' ')}  |  {escaped(self.data)}"


Record = Callable[[TranscriptLine], None]
"""Takes each line of a transcript as it happens."""


def escaped(data: bytes, limit: int = 80) -> str:
    """Show bytes as text a person can read, control characters as escapes, at most ``limit`` of them."""
    shown = repr(data[:limit])[2:-1]
    return f"{shown}… ({len(data)} bytes)" if len(data) > limit else shown
