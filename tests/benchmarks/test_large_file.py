"""The enlarged file of the benchmark is a file the program could have written."""

from __future__ import annotations

from dataclasses import asdict, replace
from datetime import datetime
from pathlib import Path

from benchmarks.large_file import read_again
from panelwear.readings import records
from panelwear.readings.by_column import read_columns
from panelwear.readings.row import Row
from panelwear.readings.soundness import impossible_rows, row_faults
from tests.panelwear.readings.rows import SOME_ROW


def test_readings_taken_again_are_sound_and_in_order(tmp_path: Path) -> None:
    later = {"monotonic_s": 1004.5, "time_utc": "2026-02-03T20:00:04.250Z"}
    rows = [SOME_ROW, replace(SOME_ROW, row=2, repeat=2, X_cd_m2=None, Z_cd_m2=None, x=None, y=None, **later)]
    cells = [{name: records.text_of(value) for name, value in asdict(row).items()} for row in rows]
    path = tmp_path / "readings.csv"
    made = [*read_again(cells, 50)]
    path.write_bytes(records.header(Row) + b"".join(records.line([*one.values()]) for one in made))

    found = read_columns(path, Row)

    assert len(found) == 100
    assert [*row_faults(found, "f"), *impossible_rows(found, "f")] == []
    assert found.numbers["repeat"].tolist() == [*range(1, 101)]
    times = found.numbers["monotonic_s"]
    assert (times[1:] > times[:-1]).all()
    since = found.numbers["time_utc"] - datetime.fromisoformat(SOME_ROW.time_utc).timestamp()
    assert abs(since - (times - times[0])).max() < 2e-3
    assert len({*found.numbers["Y_cd_m2"].tolist()}) > 90
