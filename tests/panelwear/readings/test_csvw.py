"""The CSVW metadata, judged by a general CSVW library."""

from __future__ import annotations

import json
import warnings
from dataclasses import replace
from pathlib import Path

from panelwear.folder.checkpoint import journal_metadata
from panelwear.readings import store
from panelwear.readings.columns import columns_of
from panelwear.readings.row import Row
from tests.panelwear.readings.rows import SOME_ROW


def _read_by_library(path: Path) -> list[dict[str, object]]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library's own use of deprecated calls is not ours to judge
        from csvw import CSVW

        group = CSVW(str(path), validate=True)
        assert group.is_valid
        return list(group.tables[0].iterdicts())


def test_a_general_csvw_library_reads_our_rows_with_their_types(tmp_path: Path) -> None:
    path = tmp_path / "readings.csv"
    rows = [SOME_ROW, replace(SOME_ROW, row=2, X_cd_m2=None, Z_cd_m2=None, x=None, cct_K=None, note="")]
    with store.Store(path, Row, journal_metadata("2026-02-03-h500")) as journal:
        for row in rows:
            journal.append(row)

    found = _read_by_library(tmp_path / "readings.csv-metadata.json")

    assert [r["row"] for r in found] == [1, 2]
    assert float(str(found[0]["Y_cd_m2"])) == 182.4
    assert found[1]["X_cd_m2"] is None
    assert found[0]["note"] == 'said "so, so"'


def test_every_column_has_a_description_and_every_number_a_unit() -> None:
    described = json.loads(journal_metadata("x"))["tableSchema"]["columns"]

    assert all(column["dc:description"] for column in described)
    numbers = [c for c in described if c["datatype"] in {"number", "integer"}]
    assert all(column["schema:unitText"] for column in numbers)
    assert len(described) == len(columns_of(Row))
