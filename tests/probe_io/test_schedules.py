"""Whatever becomes of the answers on the line, no reading is another patch's: late, lost, doubled, torn, cut off."""

from __future__ import annotations

import pytest

from benchmarks.serial_schedules import instruments, tally
from probe_io.simulated.schedule import Fate, tally_of

NAMES = sorted(instruments())


@pytest.mark.parametrize("name", NAMES)
def test_without_faults_every_reading_is_right(name: str) -> None:
    assert tally_of(*instruments()[name], []).right == 24


@pytest.mark.parametrize("name", NAMES)
def test_no_schedule_of_faults_gives_a_patch_the_light_of_another(name: str) -> None:
    found = tally(name, 50)
    assert found.mispaired == 0
    assert found.right > 2 * found.failed


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("late_s", [2.5, 3.5, 6.0, 9.0])
def test_one_late_answer_shifts_nothing(name: str, late_s: float) -> None:
    # The opening takes up to two answers, so the late one is a reading.
    calm = [Fate()] * 8
    found = tally_of(*instruments()[name], [*calm, Fate("late", late_s)])
    assert found.mispaired == 0
    assert found.right >= 22


@pytest.mark.parametrize("name", NAMES)
def test_an_answer_that_comes_twice_is_read_once(name: str) -> None:
    for behind_s in (0.01, 0.3, 0.6, 0.95, 1.5, 4.0):
        assert tally_of(*instruments()[name], [*[Fate()] * 8, Fate("twice", behind_s)]).mispaired == 0
