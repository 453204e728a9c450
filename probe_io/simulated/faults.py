"""Faults a simulated instrument can be told to have, and when."""

from __future__ import annotations

import threading
from collections.abc import Iterable
from dataclasses import dataclass

KINDS = (
    "delay",
    "garbage",
    "half",
    "silence",
    "over-range",
    "low-light",
    "busy",
    "broken",
    "wrong-identity",
    "other-serial",
    "disconnect",
)
"""``delay`` answers late by ``seconds``, ``half`` stops in the middle of a reply, ``busy`` asks for another try,
``broken`` reports a final fault, ``wrong-identity`` introduces itself as something else, from the beginning,
``other-serial`` with the serial number ``OTHER_SERIAL``, as if another meter had been plugged in."""
OTHER_SERIAL = "0099"
NO_ANSWER = ("wrong-identity", "other-serial")
"""Faults of the introduction, not of a measurement."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault: its kind, from which measurement on (from 1) and for how many; ``times`` 0 is for ever."""

    kind: str
    at: int = 1
    times: int = 1
    seconds: float = 1.0
    """Of a delay."""

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ValueError(f"there is no fault {self.kind!r}; known are {', '.join(KINDS)}")

    def hits(self, measurement: int) -> bool:
        """Say whether it strikes at this measurement (from 1)."""
        return self.at <= measurement and (not self.times or measurement < self.at + self.times)


def parse_fault(text: str) -> Fault:
    """Read ``KIND[:SECONDS][@FIRST][xTIMES]``, such as ``silence@3x2`` or ``delay:1.5@2``; raises ``ValueError``."""
    rest, _, times = text.rpartition("x") if text.rpartition("x")[2].isdigit() else (text, "", "1")
    rest, _, at = rest.partition("@")
    kind, _, seconds = rest.partition(":")
    try:
        return Fault(kind, int(at or 1), int(times), float(seconds or 1.0))
    except ValueError as error:
        raise ValueError(f"{text!r}: {error}; write KIND[:SECONDS][@FIRST][xTIMES]") from error


class FaultPlan:
    """The faults of one server; may be added to while it runs. A retried measurement counts as one more."""

    def __init__(self, faults: Iterable[Fault] = (), serial: str = "0") -> None:
        self._serial = serial
        self._faults = list(faults)
        self._lock = threading.Lock()
        self._measured = 0

    @property
    def measured(self) -> int:
        """How many measurements were asked for."""
        return self._measured

    def add(self, kind: str, *, times: int = 1, seconds: float = 1.0) -> None:
        """Let the next ``times`` measurements go wrong."""
        with self._lock:
            self._faults.append(Fault(kind, self._measured + 1, times, seconds))

    def next(self) -> Fault | None:
        """Count a measurement and return what goes wrong with it, if anything."""
        with self._lock:
            self._measured += 1
            hitting = (f for f in self._faults if f.kind not in NO_ANSWER and f.hits(self._measured))
            return next(hitting, None)

    @property
    def serial(self) -> str:
        """The serial number it introduces itself with just now."""
        with self._lock:
            other = any(f.kind == "other-serial" and f.hits(self._measured + 1) for f in self._faults)
            return OTHER_SERIAL if other else self._serial

    @property
    def wrong_identity(self) -> bool:
        """Whether the instrument introduces itself as something else."""
        with self._lock:
            return any(f.kind == "wrong-identity" for f in self._faults)
