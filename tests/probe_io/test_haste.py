"""How fast an answer came counts where integration takes its time, and nowhere else."""

from __future__ import annotations

from datetime import UTC, datetime
from threading import Event
from types import SimpleNamespace

import pytest

from groundwork.clock import Clock, RealClock, VirtualClock
from probe_io import instrument_file
from probe_io.dialogue import Believed, Dialogue
from probe_io.open import open_probe

SLOW, FAST = Believed(b"1", 0.9, 1.0), Believed(b"2", 0.1, 1.0)
SLOW_AGAIN = Believed(b"1", 0.9, 1.0)


def dialogue(clock: Clock) -> Dialogue:
    line = SimpleNamespace(drain=lambda *_: b"", url="socket://x")
    return Dialogue(line, instrument_file.find("scpi-colorimeter"), clock)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("clock", "is_believed"),
    [(RealClock(), False), (VirtualClock(datetime(2026, 1, 5, tzinfo=UTC)), True)],
    ids=["real", "virtual"],
)
def test_haste_is_suspect_only_where_integration_takes_time(clock: Clock, is_believed: bool) -> None:
    hasty = dialogue(clock)
    assert hasty.prove(SLOW, 1.0)
    assert hasty.prove(FAST, 1.0) is is_believed

    tardy = dialogue(clock)
    assert tardy.prove(FAST, 1.0)
    assert tardy.prove(SLOW, 1.0)
    assert tardy.prove(SLOW_AGAIN, 1.0) is is_believed  # the same digits, and slower than the fastest


def test_an_instrument_that_does_not_dwell_is_asked_once_a_reading_however_slow_the_machine_was() -> None:
    asked = 0

    def light(_: float) -> tuple[float, float, float]:
        nonlocal asked
        asked += 1
        if asked == 1:
            Event().wait(0.15)  # the machine was busy: the next answer comes more than the jitter sooner
        return (95.0 + asked, 100.0 + asked, 109.0 + asked)

    probe = open_probe("simulated", source=light, dwell=False)
    probe.open()
    try:
        read = [probe.measure(1.0).Y_cd_m2 for _ in range(4)]
    finally:
        probe.close()
    assert (read, asked) == ([101.0, 102.0, 103.0, 104.0], 4)
