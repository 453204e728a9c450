"""What a person sees on a real X server while keys are mashed, by the independent counter."""

from __future__ import annotations

import pytest

from benchmarks.flashes import CASES, MOST, watched
from tests.screens import need

NAMES = (
    "show: window of 0.9 %",
    "start screen",
    "start screen: a panel",
    "zones",
)


@pytest.mark.slow
@pytest.mark.screen
@pytest.mark.parametrize("name", NAMES)
def test_with_keys_mashed_nothing_flashes_more_than_three_times_a_second(name: str) -> None:
    need("Xvfb", "xdotool")
    (case,) = (one for one in CASES if one.name == name)
    eye = watched(case, 4.0)
    assert eye.counter.frames > 0
    assert eye.shown >= case.pictures
    assert eye.counter.worst <= MOST
    assert not eye.traceback
    assert eye.in_time
