"""Readings that are another checkpoint's are known for a copy, honest readings never."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from panelwear.readings.copies import copies, fingerprint
from panelwear.readings.row import Row
from tests.panelwear.readings.rows import SOME_ROW, in_columns

DAYS = ("2026-01-05T18:00:00.000Z", "2026-04-05T18:00:00.000Z")


def read(seed: int, day: str, step: float = 0.0001, noise: float = 0.002, start_s: float = 100.0) -> list[Row]:
    """Read 20 patches five times each, rounded to a meter's step."""
    rng = np.random.default_rng(seed)
    found = []
    for number in range(100):
        patch, repeat = divmod(number, 5)
        Y = round(round((10 + patch) * (1 + noise * rng.standard_normal()) / step) * step, 6)
        taken = replace(SOME_ROW, row=number + 1, patch=f"ramp/centre/grey/c{patch}/w10", repeat=repeat + 1, Y_cd_m2=Y)
        moment = start_s + number + round(float(rng.uniform(0, 0.5)), 3)
        found.append(replace(taken, X_cd_m2=None, Z_cd_m2=None, time_utc=day, monotonic_s=moment, settled_s=1.0))
    return found


def found(*checkpoints: tuple[str, str, Sequence[Row]]) -> dict[str, str]:
    with tempfile.TemporaryDirectory() as folder:
        prints = [fingerprint(name, begun, in_columns(rows, Path(folder))) for name, begun, rows in checkpoints]
    return dict(copies(prints))


def test_two_measurements_are_no_copies_not_even_by_a_meter_that_repeats_itself() -> None:
    for step, noise in ((0.0001, 0.002), (1.0, 0.0003)):
        then, now = (read(i, day, step, noise, 100.0 * i) for i, day in enumerate(DAYS, start=1))
        assert found(("first", DAYS[0], then), ("second", DAYS[1], now)) == {}


def test_no_readings_and_black_ones_are_no_copies() -> None:
    dark = [replace(one, Y_cd_m2=0.0) for one in read(1, DAYS[0])]
    assert found(("first", DAYS[0], []), ("second", DAYS[1], [])) == {}
    assert found(("first", DAYS[0], dark), ("second", DAYS[1], dark)) == {}


def test_the_same_readings_under_another_day_are_a_copy() -> None:
    rows = read(1, DAYS[0])
    (said,) = found(("first", DAYS[0], rows), ("second", DAYS[1], rows)).items()
    assert said == ("second", "its readings are those of first to the last digit: a copy is no measurement of its own")


def test_the_copy_is_the_one_whose_record_says_another_day_than_its_readings() -> None:
    rows = read(1, DAYS[1])
    assert list(found(("made-up baseline", DAYS[0], rows), ("true", DAYS[1], rows))) == ["made-up baseline"]


def test_edited_rows_do_not_hide_a_copy() -> None:
    rows = read(1, DAYS[0])
    edited = [replace(one, Y_cd_m2=0.95 * (one.Y_cd_m2 or 0)) if i < 30 else one for i, one in enumerate(rows)]
    said = found(("first", DAYS[0], rows), ("second", DAYS[1], edited))
    assert said["second"].startswith("70 of its 100 readings are those of first to the last digit")


@pytest.mark.parametrize(("step", "noise", "told"), [(0.0001, 0.002, True), (1.0, 0.0003, False)])
def test_edited_times_do_not_hide_a_copy_where_the_meter_never_repeats_itself(
    step: float, noise: float, told: bool
) -> None:
    rows = read(1, DAYS[0], step, noise)
    edited = [replace(one, time_utc=DAYS[1], monotonic_s=one.monotonic_s + 7.25) for one in rows]
    assert bool(found(("first", DAYS[0], rows), ("second", DAYS[1], edited))) is told


def test_a_copy_of_a_copy_accuses_no_third() -> None:
    rows = read(1, DAYS[0])
    named = [(name, day, rows) for name, day in zip(("a", "b", "c"), (DAYS[0], DAYS[1], DAYS[1]), strict=True)]
    said = found(*named)
    assert list(said) == ["b", "c"]
    assert all("those of a" in sentence for sentence in said.values())
