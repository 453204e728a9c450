"""Which date a person reads."""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta

import pytest

from groundwork.clock import RealClock, VirtualClock, local_now


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="this system takes its zone from elsewhere")
def test_now_is_told_in_the_person_s_own_zone(monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as elsewhere:
        elsewhere.setenv("TZ", "XYZ-9")
        time.tzset()
        now = local_now(RealClock())
    time.tzset()

    assert now.utcoffset() == timedelta(hours=9)


def test_a_virtual_clock_stays_utc() -> None:
    assert local_now(VirtualClock(datetime(2026, 2, 3, 20, tzinfo=UTC))).utcoffset() == timedelta(0)
