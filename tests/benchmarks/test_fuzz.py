"""Damaged files of every kind end with a sentence; the benchmark tries 20,000, this 300."""

from __future__ import annotations

from pathlib import Path

from benchmarks.fuzz import fuzz
from panelwear.errors import OWN_FAULT


def test_no_damaged_file_is_a_fault_of_the_program(tmp_path: Path) -> None:
    found = fuzz(300, 1, tmp_path)
    assert found.faults == ()
    assert sum(found.ends.values()) == 300
    assert found.ends[2] > 150
    assert found.ends[OWN_FAULT] == 0
