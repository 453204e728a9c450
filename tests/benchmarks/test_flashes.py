"""What a person sees on a real X server while keys are mashed, by the independent counter."""

from __future__ import annotations

import pytest

from benchmarks.flashes import CASES, MOST, watched
from tests.screens import need


@pytest.mark.slow
@pytest.mark.screen
def test_a_small_window_with_keys_mashed_flashes_no_more_than_three_times_a_second() -> None:
    need("Xvfb", "xdotool")
    eye = watched(CASES[0], 4.0)
    assert 0 < eye.counter.worst <= MOST
