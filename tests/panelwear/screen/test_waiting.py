"""The one loop that waits for a hand: when it looks, when it ends, and that Escape goes before all else."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from groundwork.clock import VirtualClock
from panelwear.errors import Stopped
from panelwear.screen.fake import FakeScreen
from panelwear.screen.waiting import moments

START = datetime(2026, 3, 1, tzinfo=UTC)


def test_it_ends_at_its_moment_and_hands_out_what_came_until_then() -> None:
    clock = VirtualClock(START)
    screen = FakeScreen(64, 36, clock)
    screen.press("a", after_s=0.05)
    screen.press("b", after_s=0.5)
    keys = [event.key for events in moments(screen, clock, clock.monotonic_s() + 0.1) for event in events if event.key]
    assert keys == ["a"]
    assert clock.monotonic_s() == pytest.approx(1000.1)


def test_an_end_that_is_put_off_is_waited_for() -> None:
    clock = VirtualClock(START)
    ends = [1000.06]
    for look, _ in enumerate(moments(FakeScreen(64, 36, clock), clock, lambda: ends[0]), 1):
        if look == 3:
            ends[0] = 1000.2
    assert clock.monotonic_s() == pytest.approx(1000.2)


def test_a_return_of_the_same_moment_does_not_take_escapes_place() -> None:
    clock = VirtualClock(START)
    screen = FakeScreen(64, 36, clock)
    screen.press("return", "escape")
    with pytest.raises(Stopped, match="everything up to here is kept"):
        next(moments(screen, clock))
