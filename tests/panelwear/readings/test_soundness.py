"""What is wrong with rows, judged by columns, held against the same judged row by row."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelwear.colorimetry.plausible import IMPOSSIBLE, why_impossible
from panelwear.readings import records
from panelwear.readings.by_column import read_columns
from panelwear.readings.row import FLAGS, Row
from panelwear.readings.soundness import XY_TOLERANCE, impossible_rows, row_faults
from panelwear.readings.table import ReadingTable, from_rows, table_of
from tests.panelwear.readings.rows import SOME_ROW, in_columns

VALUES = st.sampled_from([None, 0.0, 0.312929, 0.329361, 173.3, 182.4, 198.1, -3.0, 2e5, math.nan, math.inf, 1e308])
NAMES = ("X_cd_m2", "Y_cd_m2", "Z_cd_m2", "x", "y", "duv", "target_cd_m2")
CHANGES = st.fixed_dictionaries(
    {},
    optional={
        **dict.fromkeys(NAMES, VALUES),
        "red": st.sampled_from([0.0, math.nan]),
        "flags": st.sampled_from(["ok", "impossible", "retried odd", "", "odd strange", "disturbed retried"]),
        "note": st.sampled_from(["", "impossible: x; y", "é"]),
        "pair": st.sampled_from(["", "badge.1"]),
        "row": st.sampled_from([1, 9]),
        "session": st.integers(1, 3),
        "time_utc": st.sampled_from(["", "2026-02-03T20:00:00.000Z", "2026-02-03T22:00:00+02:00"]),
    },
)
ROWS = st.lists(CHANGES, max_size=6).map(
    lambda made: [replace(SOME_ROW, **{"row": i, **changes}) for i, changes in enumerate(made, start=1)]
)


def one_by_one(rows: Sequence[Row]) -> Iterator[str]:
    """Say the same of rows, one after the other."""
    for number, row in enumerate(rows, start=2):
        here = f"f: record {number}"
        if row.row != number - 1:
            yield f"{here}: row is {row.row}, expected {number - 1}; a line is missing"
            return
        yield from (f"{here}: flags: unknown '{flag}'" for flag in row.flags.split() if flag not in FLAGS)
        for field in fields(Row):
            value = getattr(row, field.name)
            if isinstance(value, float) and not math.isfinite(value):
                yield f"{here}: {field.name}: {value} is no number; a missing one is an empty field"
        X, Y, Z = row.X_cd_m2, row.Y_cd_m2, row.Z_cd_m2
        total = math.nan if X is None or Y is None or Z is None else X + Y + Z
        if not (math.isfinite(total) and total > 0):
            continue
        for name, stored, said in (("x", row.x, (X or 0) / total), ("y", row.y, (Y or 0) / total)):
            if stored is not None and row.x is not None and row.y is not None and abs(stored - said) > XY_TOLERANCE:
                yield f"{here}: {name} is {stored:g}, X, Y, Z make {said:.6f}; one of them was edited"


def no_light(rows: Sequence[Row]) -> Iterator[str]:
    """Say which rows are no light, one after the other."""
    for row in rows:
        note = row.note.partition(";")[0] if IMPOSSIBLE in row.flags.split() else ""
        why = why_impossible(row.X_cd_m2, row.Y_cd_m2, row.Z_cd_m2) or note
        if why:
            yield f"f: row {row.row} ({row.patch}): {why}; it enters no figure"


@settings(max_examples=200, deadline=None)
@given(rows=ROWS)
def test_what_is_wrong_is_told_by_columns_as_row_by_row(
    tmp_path_factory: pytest.TempPathFactory, rows: list[Row]
) -> None:
    columns = in_columns(rows, tmp_path_factory.mktemp("rows"))

    assert [*row_faults(columns, "f")] == [*one_by_one(rows)]
    assert [*impossible_rows(columns, "f")] == [*no_light(rows)]


@settings(max_examples=100, deadline=None)
@given(rows=ROWS, starts=st.lists(st.integers(1, 6), min_size=1, max_size=2))
def test_a_table_of_columns_is_the_table_of_their_rows(
    tmp_path_factory: pytest.TempPathFactory, rows: list[Row], starts: list[int]
) -> None:
    columns = in_columns(rows, tmp_path_factory.mktemp("rows"))
    by_column, by_row = (
        table_of(columns, checkpoint="c", segment_starts=starts),
        from_rows(rows, checkpoint="c", segment_starts=starts),
    )

    assert len(by_column) == len(rows)
    for field in fields(ReadingTable):
        ours, theirs = np.asarray(getattr(by_column, field.name)), np.asarray(getattr(by_row, field.name))
        assert ours.dtype.kind == theirs.dtype.kind
        assert np.array_equal(ours, theirs, equal_nan=ours.dtype.kind == "f"), field.name


def test_the_faults_of_one_row_are_told_in_order(tmp_path: Path) -> None:
    spoilt = replace(SOME_ROW, flags="odd", duv=math.inf, x=0.4)

    assert [said.partition(": record 2: ")[2] for said in row_faults(in_columns([spoilt], tmp_path), "f")] == [
        "flags: unknown 'odd'",
        "duv: inf is no number; a missing one is an empty field",
        "x is 0.4, X, Y, Z make 0.312929; one of them was edited",
    ]


@pytest.mark.parametrize(
    ("flags", "patch", "said"),
    [
        ("replaces=1", "", ""),
        ("typed-in replaces=1+2", "", ""),
        ("replaces=3", "", "record 4: flags: it replaces row 3, which is no row before it"),
        ("replaces=0", "", "record 4: flags: it replaces row 0, which is no row before it"),
        (
            "replaces=2",
            "ramp/centre/grey/c1/w10",
            "record 4: flags: it replaces row 2, which is of another patch or session",
        ),
        ("replaces=", "", "record 4: flags: unknown 'replaces='"),
        ("replaces=1,2", "", "record 4: flags: unknown 'replaces=1,2'"),
    ],
)
def test_a_row_replaces_earlier_ones_of_its_own_patch_alone(tmp_path: Path, flags: str, patch: str, said: str) -> None:
    rows = [replace(SOME_ROW, row=number, flags="ok") for number in (1, 2)]
    rows.append(replace(SOME_ROW, row=3, flags=flags, patch=patch or SOME_ROW.patch))
    path = tmp_path / "f"
    path.write_bytes(b"".join([records.header(Row), *map(records.record_line, rows)]))

    assert [*row_faults(read_columns(path, Row), "f")] == ([f"f: {said}"] if said else [])


@pytest.mark.parametrize("way", [from_rows, None])
def test_no_table_holds_a_row_that_was_replaced(tmp_path: Path, way: object) -> None:
    flags = ["ok", "ok", "replaces=2", "replaces=1+3"]
    rows = [replace(SOME_ROW, row=n, flags=flag, repeat=n) for n, flag in enumerate(flags, start=1)]
    path = tmp_path / "f"
    path.write_bytes(b"".join([records.header(Row), *map(records.record_line, rows)]))

    table = from_rows(rows) if way else table_of(read_columns(path, Row))
    assert table.repeat.tolist() == [4]
