"""A line to a simulated instrument on which every answer has a fate: late, lost, torn, doubled, cut off.

Time is its own and costs nothing, so that thousands of schedules can be tried.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from probe_io.errors import NoReply, ProbeError, Unplugged
from probe_io.instrument import Instrument, Line
from probe_io.reading import Idle
from probe_io.serial_probe import SerialProbe
from probe_io.simulated.dialects import Dialect, LightSource
from probe_io.simulated.faults import FaultPlan

FATES = ("as it is", "late", "lost", "twice", "torn", "with the next", "echoed", "unplugged")
TICK_S = 0.001


@dataclass(frozen=True, slots=True)
class Fate:
    """What becomes of one answer."""

    kind: str = "as it is"
    seconds: float = 0.0
    """How late it comes; of a torn one, how long its second half stays away; of a doubled one, how far behind it is."""


class ScheduledLine:
    """Carries bytes to a dialect and its answers back, each by its fate; implements ``Carrier``.

    The instrument answers one question after the other, as a serial one does: a late answer makes the next later.
    """

    def __init__(self, dialect: Dialect, fates: Iterable[Fate], line: Line) -> None:
        self.url = "scheduled://"
        self.now_s = 0.0
        self._dialect = dialect
        self._fates = deque(fates)
        self._line = line
        self._under_way: list[tuple[float, bytes]] = []
        self._free_at_s = 0.0
        self._held = b""
        self._here = bytearray()
        self._is_out = False

    def monotonic_s(self) -> float:
        """Return the line's own time."""
        return self.now_s

    def open(self) -> None:
        """Plug it in again; what the port held is gone, what the instrument still sends is not."""
        self._is_out = False
        self._here.clear()

    reopen = open

    def close(self) -> None:
        """Leave it."""

    def write(self, data: bytes) -> None:
        """Hand bytes to the instrument, which answers when it is free."""
        self._there()
        for answer in self._dialect.receive(data):
            begun = max(self.now_s, self._free_at_s)
            fate = self._fates.popleft() if self._fates else Fate()
            self._send(answer.data, begun + answer.integration_s, fate, data)

    def _send(self, data: bytes, at_s: float, fate: Fate, asked: bytes) -> None:
        data, self._held = self._held + data, b""
        late_s = fate.seconds if fate.kind == "late" else 0.0
        self._free_at_s = at_s + late_s
        half = len(data) // 2
        parts = {
            "lost": [],
            "twice": [(0.0, data), (fate.seconds, data)],
            "torn": [(0.0, data[:half]), (fate.seconds, data[half:])],
            "echoed": [(0.0, asked + data)],
            "unplugged": [],
        }.get(fate.kind, [(late_s, data)])
        if fate.kind == "with the next":
            self._held, parts = data, []
        self._is_out = fate.kind == "unplugged"
        self._under_way += [(at_s + after_s, part) for after_s, part in parts]

    @property
    def has_stale(self) -> bool:
        """Whether bytes have come that nobody asked for."""
        self._there()
        self._arrive()
        return bool(self._here)

    def read_line(self, time_out_s: float, idle: Idle | None = None) -> bytes:
        """Wait for a whole line; ``NoReply`` with what came when there is none in time."""
        end_s, end_in = self.now_s + time_out_s, self._line.end_in
        while True:
            self._there()
            self._arrive()
            if end_in in self._here:
                found, _, rest = bytes(self._here).partition(end_in)
                self._here[:] = rest
                return found
            if self.now_s >= end_s:
                came = bytes(self._here)
                self._here.clear()
                raise NoReply(f"{self.url}: no whole reply within {time_out_s:.3g} s", came)
            self._wait(end_s)

    def drain(
        self, quiet_s: float, idle: Idle | None = None, *, until_s: float = 0.0, at_most_s: float = 10.0
    ) -> bytes:
        """Throw away what comes until nothing has come for ``quiet_s``, not before ``until_s``."""
        self._there()
        self._arrive()
        dropped, last_s = bytes(self._here), self.now_s
        self._here.clear()
        while self.now_s < (end_s := max(last_s + quiet_s, until_s)):
            self._wait(end_s)
            self._arrive()
            if self._here:
                dropped, last_s = dropped + bytes(self._here), self.now_s
                self._here.clear()
        return dropped

    def _arrive(self) -> None:
        due = sorted(part for part in self._under_way if part[0] <= self.now_s)
        self._under_way = [part for part in self._under_way if part[0] > self.now_s]
        for _, data in due:
            self._here += data

    def _wait(self, end_s: float) -> None:
        following = min((at_s for at_s, _ in self._under_way), default=end_s)
        self.now_s = max(min(following, end_s), self.now_s + TICK_S)

    def _there(self) -> None:
        if self._is_out:
            raise Unplugged(f"{self.url}: the probe was unplugged")


class _LineClock:
    """The line's time as the clock a probe waits by."""

    fast = False

    def __init__(self, line: ScheduledLine) -> None:
        self._line = line

    def monotonic_s(self) -> float:
        return self._line.now_s

    def utc(self) -> datetime:
        return datetime(2026, 1, 5, tzinfo=UTC) + timedelta(seconds=self._line.now_s)

    def sleep(self, seconds: float) -> None:
        self._line.now_s += max(0.0, seconds)


@dataclass(frozen=True, slots=True)
class Tally:
    """What became of the readings of one schedule."""

    right: int
    failed: int
    """Without light; the probe said so."""
    mispaired: int
    """With the light of another patch: there must be none."""


def tally_of(
    instrument: Instrument,
    dialect: Callable[[LightSource, FaultPlan], Dialect],
    fates: Iterable[Fate],
    *,
    patches: int = 8,
    reads: int = 3,
    by_control: bool = False,
) -> Tally:
    """Read patches that all differ through a schedule of fates, opening the line again whenever it is cut off.

    Args:
        instrument: How it is spoken to.
        dialect: Makes its side of it.
        fates: What becomes of each answer.
        patches: How many there are.
        reads: Readings of each.
        by_control: After a missing answer that no question heals, known patches are read first.
    """
    light_cd_m2 = [10.0]
    line = ScheduledLine(dialect(lambda _s: (light_cd_m2[0],) * 3, FaultPlan()), fates, instrument.line)
    probe = SerialProbe(instrument, line.url, clock=_LineClock(line), carrier=lambda *_: line, now_s=line.monotonic_s)
    probe.by_control = by_control
    right = failed = mispaired = 0
    for patch in range(patches):
        light_cd_m2[0] = 10.0 * (patch + 1)
        probe.light_changes()
        for _ in range(reads):
            try:
                probe.open()
                if probe.control_due:
                    _read_known(probe, light_cd_m2)
                found = probe.measure().Y_cd_m2
            except ProbeError:
                probe.close()
                found = None
            right += found == light_cd_m2[0]
            failed += found is None
            mispaired += found is not None and found != light_cd_m2[0]
    return Tally(right, failed, mispaired)


KNOWN_CD_M2 = (1000.0, 1500.0, 2000.0)
"""Light of known patches, of which none is among the others."""


def _read_known(probe: SerialProbe, light_cd_m2: list[float]) -> None:
    """Read known patches, another one each time, until one reads as it is known; ``NoReply`` when none does."""
    patch_cd_m2 = light_cd_m2[0]
    try:
        for known_cd_m2 in KNOWN_CD_M2:
            light_cd_m2[0] = known_cd_m2
            probe.light_changes()
            if probe.measure().Y_cd_m2 == known_cd_m2:
                probe.line_is_proved()
                return
            probe.line_is_lost()
        raise NoReply(f"{probe.url}: no known patch reads as it is known")
    finally:
        light_cd_m2[0] = patch_cd_m2
        probe.light_changes()
