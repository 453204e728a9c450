"""Every judge of the fault benchmark finds fault with what is bad, and none with what is sound; one real try a kind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from benchmarks import faults, flashes
from benchmarks.fuzz import Fuzzed
from benchmarks.support import fault_counts, fault_screen, fault_storage
from benchmarks.support.broken_calls import Breaker
from benchmarks.support.fault_counts import Counts
from benchmarks.support.fault_stand import Ended, FaultStand, begin, go_on, in_child, judged, open_folders
from panelwear.errors import OWN_FAULT
from panelwear.readings.row import Row
from probe_io.simulated.schedule import Tally
from tests.panelwear.readings.rows import SOME_ROW


@pytest.fixture(scope="module")
def stand(tmp_path_factory: pytest.TempPathFactory) -> FaultStand:
    return FaultStand.made(tmp_path_factory.mktemp("faults"))


def test_a_line_that_is_nowhere_any_more_is_lost() -> None:
    assert fault_counts.lines_lost([b"a\r\n", b"b\r\n"], [b"b\r\n", b"x\r\na\r\n"]) == 0
    assert fault_counts.lines_lost([b"a\r\n", b"b\r\n"], [b"b\r\n"]) == 1
    assert fault_counts.lines_lost([b"a\r\n", b"a\r\n"], [b"a\r\n"]) == 1


def test_a_reading_that_was_never_taken_is_missed() -> None:
    rows = [replace(SOME_ROW, row=n, patch=f"p{n}", flags="ok") for n in (1, 2, 3)]
    assert fault_counts.readings_missing(rows, rows) == 0
    assert fault_counts.readings_missing(rows[:2], rows) == 1
    assert fault_counts.readings_missing([*rows[:2], replace(rows[2], flags="disturbed")], rows) == 1


def grey(code: float, Y: float, flags: str = "ok") -> Row:
    return replace(SOME_ROW, red=code, green=code, blue=code, Y_cd_m2=Y, flags=flags)


def test_another_patchs_light_is_mispaired_unless_it_is_not_believed() -> None:
    assert fault_counts.grey_mispaired([grey(40, 40.0), grey(200, 200.4)]) == 0
    assert fault_counts.grey_mispaired([grey(40, 200.0)]) == 1
    assert fault_counts.grey_mispaired([grey(40, 200.0, "disturbed")]) == 0


def test_a_file_that_is_gone_or_other_was_overwritten() -> None:
    before = {"a": b"1", "b": b"2"}
    assert fault_counts.files_changed(before, {**before, "new": b"3"}) == 0
    assert fault_counts.files_changed(before, {"a": b"1"}) == 1
    assert fault_counts.files_changed(before, {"a": b"2", "b": b"2"}) == 1


def test_a_fault_of_the_program_is_a_traceback_and_a_sentence_is_none() -> None:
    assert not fault_counts.is_traceback(5, "the disk is full")
    assert fault_counts.is_traceback(OWN_FAULT, "a fault of the program itself")
    assert fault_counts.is_traceback(1, "Traceback (most recent call last):\n")
    assert fault_counts.is_traceback(0, "done\nX Error of failed request\n")


def test_counts_add_up_and_what_is_not_judged_stays_a_dash() -> None:
    found = Counts(1, lost=2) + Counts(1, lost=1, stuck=0)
    assert found == Counts(2, lost=3, stuck=0)
    assert (found.wrong, Counts(9, lost=0).wrong) == (3, 0)
    assert fault_counts.line("kills", found).split() == [
        "kills",
        "2",
        "3",
        "-",
        "-",
        "0",
        "-",
        "-",
    ]


def test_schedules_fuzz_and_flashes_are_judged() -> None:
    assert faults.of_schedules(Tally(20, 4, 0), 1).wrong == 0
    assert faults.of_schedules(Tally(20, 1, 1), 1) == Counts(1, lost=2, mispaired=1)
    assert faults.of_fuzz(Fuzzed(Counter({2: 9}), ())).wrong == 0
    assert faults.of_fuzz(Fuzzed(Counter({2: 9, 6: 1}), ("try 3",))) == Counts(10, tracebacks=1)
    eye = flashes.Eye(Path(), seconds=1.0)
    eye.counter.frames, eye.counter.worst, eye.shown = 120, 2.0, 9
    assert faults.of_eye(eye).wrong == 0
    eye.shown = 0
    assert faults.of_eye(eye).dazzling == 1
    eye.shown, eye.counter.worst = 9, 3.5
    assert faults.of_eye(eye).dazzling == 1
    eye.counter.worst, eye.counter.frames, eye.in_time, eye.traceback = 1.0, 60, False, True
    assert faults.of_eye(eye) == Counts(1, stuck=1, tracebacks=1, dazzling=1)


def test_a_disturbed_inspection_is_judged() -> None:
    def row(code: int, factor: float = 1.0) -> Row:
        return replace(grey(code, 250 * factor * (code / 255) ** 2.2), patch=f"field/centre/grey/c{code}/full")

    rows = [row(code) for code in (30, 50, 70, 90) for _ in range(4)]
    assert fault_screen.judged(rows, [(0, "")], ()).wrong == 0
    assert fault_screen.judged([row(30, 5.0), *rows[1:]], [(0, "")], ()).mispaired == 1
    assert fault_screen.judged(rows[:14], [(0, "")], ()).lost == 2
    assert fault_screen.judged(rows, [(3, "the screen is gone")], (3,)).stuck == 1
    assert fault_screen.judged(rows, [(4, ""), (0, "")], (3,)).tracebacks == 1
    assert fault_screen.judged(rows, [(0, "")], (), in_time=False).stuck == 1


def _careless(folder: Path) -> None:
    """Write as no run of ours does: over a sealed file, readings away, another patch's light."""
    begin(folder)
    (path,) = (one / "readings.csv" for one in open_folders(folder))
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join([*lines[:4], lines[4].replace(b",40,", b",41,"), *lines[5:-2]]))
    (folder / "notes.txt").write_bytes(b"")


def test_a_careless_run_is_found_out(stand: FaultStand) -> None:
    folder = stand.copy()
    found = judged(stand, folder, in_child(lambda: _careless(folder)), ())
    assert found.lost is not None and found.lost >= 2
    assert found.overwritten == 1
    folder = stand.copy()
    first = in_child(lambda: 1 / 0)
    assert first == Ended(OWN_FAULT, 0)
    assert judged(stand, folder, first, ()) == Counts(1, lost=0, mispaired=0, overwritten=0, stuck=0, tracebacks=1)


def test_what_a_fault_leaves_unready_or_late_is_stuck(stand: FaultStand) -> None:
    folder = stand.copy()
    assert judged(stand, folder, Ended(-9, 0), (-9,), ready=False).stuck == 1
    folder = stand.copy()
    assert judged(stand, folder, Ended(-9, 0, in_time=False), (-9,)).stuck == 1


def test_calls_are_counted_and_the_one_that_is_meant_is_broken(stand: FaultStand) -> None:
    calls = fault_storage.calls_of_a_run(stand)
    assert calls > 60
    folder = stand.copy()
    killed = in_child(lambda: begin(folder), Breaker("kill before", calls - 15).install)
    assert killed.code == -9
    assert 2 < killed.acknowledged <= 16
    folder = stand.copy()
    full = in_child(lambda: begin(folder), Breaker("disk full", calls - 15).install)
    assert full.code == 5


@pytest.fixture(scope="module")
def quick(stand: FaultStand) -> Iterator[list[tuple[str, Counts]]]:
    yield [
        ("kill", fault_storage.at_every_call(stand, ("kill in the middle",), 31)),
        ("full", fault_storage.at_every_call(stand, ("disk full in the middle",), 31)),
        ("meddled", fault_storage.meddled(stand, 9)),
    ]


def test_nothing_is_lost_by_a_few_faults_of_each_kind(quick: list[tuple[str, Counts]]) -> None:
    assert [(name, counts.wrong) for name, counts in quick] == [("kill", 0), ("full", 0), ("meddled", 0)]
    assert all(counts.tries > 0 and counts.lost == 0 and counts.mispaired == 0 for _, counts in quick)


def test_the_picture_is_read_from_the_servers_memory_as_it_stands_there() -> None:
    width, height = flashes.WIDTH, flashes.HEIGHT
    header = np.zeros(25, dtype=">u4")
    header[0], header[12], header[19] = 100, width * 4, 2
    pixels = np.zeros((height, width, 4), np.uint8)
    pixels[10, 15] = (3, 2, 1, 0)
    memory = np.concatenate([header.view(np.uint8), np.zeros(24, np.uint8), pixels.ravel()])
    seen = flashes._picture(memory)
    assert seen.shape == (height // flashes.STRIDE, width // flashes.STRIDE, 3)
    assert tuple(seen[2, 3]) == (1, 2, 3)
    assert int(seen.sum()) == 6


def test_what_a_killed_run_left_half_written_is_gone_after_the_next(stand: FaultStand) -> None:
    def left() -> list[str]:
        return [path.name for path in folder.rglob(".*.tmp")]

    found = []
    for at in range(20, 60, 8):
        folder = stand.copy()
        in_child(partial(begin, folder), Breaker("kill before", at).install)
        found += left()
        in_child(partial(go_on, folder))
        assert left() == []
    assert found
