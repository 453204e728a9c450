"""What any of our files is told to be, and that what is wrong with it is found."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from panelwear.folder.checkpoint import journal_metadata
from panelwear.panel.assumed import assumed_response
from panelwear.readings import records, store
from panelwear.readings.row import Row
from panelwear.upkeep.check import check
from panelwear.upkeep.create import PanelSpec, new_panel
from tests.panelwear.readings.rows import SOME_ROW


def stored(path: Path, content: object) -> Path:
    path.write_text(json.dumps(content), encoding="utf-8")
    return path


def test_json_of_ours_is_told_apart_by_its_content(tmp_path: Path) -> None:
    response = assumed_response({}).to_json()

    for content, what in (
        (response, "response"),
        ([{"utc": "2026-02-03", "text": "the lamp was on"}], "amendments"),
        ({"format": "panelwear rehearsal 1", "files": {}}, "what a rehearsal left"),
    ):
        found = check(stored(tmp_path / "any.json", content))
        assert (found.what, found.problems) == (what, ())


@pytest.mark.parametrize(
    "content",
    [3, {}, {"curves_cd_m2": 1}, [1], {"format": "panelwear checkpoint 1"}, {"@context": "http://www.w3.org/ns/csvw"}],
)
def test_json_that_is_not_as_ours_is_refused(tmp_path: Path, content: object) -> None:
    assert all(p.startswith("any.json: ") for p in check(stored(tmp_path / "any.json", content)).problems)
    assert check(tmp_path / "any.json").problems != ()


def test_the_description_of_a_csv_is_held_against_it(tmp_path: Path) -> None:
    described = tmp_path / "readings.csv-metadata.json"
    with store.Store(tmp_path / "readings.csv", Row, journal_metadata("2026-02-03-h500")):
        pass
    assert (check(described).what, check(described).problems) == ("description of a CSV (CSVW)", ())

    (tmp_path / "readings.csv").write_bytes(b"time,Y\r\n")

    assert check(described).problems == (f"{described.name}: the columns it describes are not those of readings.csv",)


@pytest.mark.parametrize("value", ["nan", "-inf"])
def test_a_reading_that_is_no_number_is_found(tmp_path: Path, value: str) -> None:
    with store.Store(tmp_path / "readings.csv", Row) as journal:
        journal.append(replace(SOME_ROW, Y_cd_m2=float(value)))

    assert check(tmp_path / "readings.csv").problems == (
        f"readings.csv: record 2: Y_cd_m2: {value} is no number; a missing one is an empty field",
    )


def test_a_reading_below_zero_is_stored_as_sent_and_is_no_fault(tmp_path: Path) -> None:
    with store.Store(tmp_path / "readings.csv", Row) as journal:
        journal.append(replace(SOME_ROW, Y_cd_m2=-1.5, x=None, y=None))

    assert check(tmp_path / "readings.csv").problems == ()


@pytest.mark.parametrize("kept", [0, 5, -2])
def test_an_empty_and_a_torn_journal_are_told(tmp_path: Path, kept: int) -> None:
    path = tmp_path / "readings.csv"
    whole = records.header(Row) + records.record_line(SOME_ROW)
    path.write_bytes(whole[:kept])

    problems = check(path).problems

    assert len(problems) == (1 if kept else 0)
    assert all("torn line" in problem for problem in problems)


def test_numbers_that_are_none_do_not_pass(tmp_path: Path) -> None:
    new_panel(tmp_path, PanelSpec("harbour-desk", 1920, 1080, (598.0, 336.0)))
    panel = tmp_path / "panel.toml"
    panel.write_text(panel.read_text(encoding="utf-8").replace("[598, 336]", "[nan, 336]"), encoding="utf-8")

    assert check(tmp_path).problems == (
        "panel.toml: active_area_mm[1]: nan is no number; expected a number (above 0 up to 100000 mm)",
    )


def test_a_file_that_cannot_be_read_is_a_sentence(tmp_path: Path) -> None:
    loop = tmp_path / "panel.toml"
    loop.symlink_to(loop)

    assert len(check(loop).problems) == 1


@pytest.mark.parametrize(("column", "value"), [("x", 0.3131), ("y", 0.32937), ("Y_cd_m2", 218.88)])
def test_a_colour_that_is_not_that_of_its_tristimulus_values_is_found(
    tmp_path: Path, column: str, value: float
) -> None:
    with store.Store(tmp_path / "readings.csv", Row) as journal:
        journal.append(replace(SOME_ROW, **{column: value}))

    problems = check(tmp_path / "readings.csv").problems

    assert problems != ()
    assert all("X, Y, Z make" in problem for problem in problems)
