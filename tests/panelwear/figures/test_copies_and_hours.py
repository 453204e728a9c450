"""A copied checkpoint gives no verdict, and hours that fall give no rate; every command says so."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.folder.checkpoint import DIGEST
from tests.panelwear.figures.test_integrity import brighter
from tests.panelwear.report.page_reader import Page

BASELINE, MIDDLE, NEWEST, COPY = "2026-01-05-h0", "2026-06-21-h2000", "2027-01-07-h4400", "2027-06-07-h6200"
COPIED = f"{COPY}/readings.csv: its readings are those of {NEWEST} to the last digit"


def edit_record(directory: Path, **changes: object) -> None:
    """Change a record by hand and take its seal off."""
    path = directory / "checkpoint.json"
    record = json.loads(path.read_text(encoding="utf-8"))
    kept = {k: v for k, v in record.items() if k not in {"closed_utc", "digests_at_close", DIGEST, "readings"}}
    path.write_text(json.dumps(kept | {"status": "open"} | changes), encoding="utf-8")


def copied(folder: Path) -> Path:
    """Copy the newest checkpoint and give it another day and other hours."""
    made = shutil.copytree(folder / "checkpoints" / NEWEST, folder / "checkpoints" / COPY)
    edit_record(made, hours=6200.0, started_utc="2027-06-07T18:00:00.000Z")
    return made


def told(folder: Path, capsys: pytest.CaptureFixture[str], command: str, *words: str, code: int) -> str:
    assert main([command, str(folder), *words]) == code
    said = capsys.readouterr()
    return said.out or said.err


def test_a_copy_under_another_day_is_left_out_and_said(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    copied(folder)

    said = told(folder, capsys, "compare", code=3)

    assert said.startswith(COPIED)
    assert f"{COPY} is left out of every verdict below; --as-it-is counts it nonetheless." in said
    assert f"to {NEWEST} (4400 h)" in said
    assert "6200 h" not in said.partition("harbour-desk:")[2]
    assert COPIED in told(folder, capsys, "check", code=2)
    out = folder / "report.html"
    assert COPIED in told(folder, capsys, "report", "--out", str(out), code=3)
    assert COPIED in Page(out.read_text(encoding="utf-8")).text


def test_a_copy_with_some_edited_rows_is_said_and_counts_only_as_it_is(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    brighter(copied(folder))

    said = told(folder, capsys, "compare", code=3)

    assert said.startswith(f"{COPY}/readings.csv: 1236 of its 1272 readings are those of {NEWEST} to the last digit")
    assert f"{COPY} is left out of every verdict below" in said
    assert f"to {COPY} (6200 h)" in told(folder, capsys, "compare", "--as-it-is", code=3)


def test_hours_that_fall_are_said_and_nothing_is_given_for_hours_of_use(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = told(folder, capsys, "compare", code=0)
    edit_record(folder / "checkpoints" / MIDDLE, hours=5000.0)

    said = told(folder, capsys, "compare", code=0)

    fell = f"{NEWEST} was begun after {MIDDLE} (2027-01-07, 2026-06-21) but has fewer hours of use (4400 h, 5000 h)"
    assert "per 1000 h" in before
    assert "h a day" in before
    assert said.splitlines()[2].startswith(fell)
    assert "% per 1000 h" not in said
    assert "h a day\n" not in said
    assert said.count("No loss per 1000 h and no hours a day are given: hours fall while dates rise") == 2
    forecast = told(folder, capsys, "compare", "--forecast", "20", code=0).splitlines()
    assert forecast
    assert all("hours fall while dates rise" in line or "is visible already" in line for line in forecast)
    data = json.loads(told(folder, capsys, "compare", "--json", code=0))
    remarks = next(t for t in data["tables"] if t["name"] == "remarks")["rows"]
    assert "no rate" in {row["kind"] for row in remarks}
    assert data["verdict"][0].startswith(fell)
    checked = told(folder, capsys, "check", code=0)
    assert fell in checked
    assert "nothing wrong" in checked
    out = folder / "report.html"
    told(folder, capsys, "report", "--out", str(out), code=0)
    page = Page(out.read_text(encoding="utf-8")).text
    assert fell in page
    assert "No loss per 1000 h is given: hours fall while dates rise" in page
