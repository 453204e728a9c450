"""What check knows, compare and report know: an edited, unreadable or recordless checkpoint gives no verdict."""

from __future__ import annotations

import csv
import io
import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.errors import FileFault, StorageFault
from panelwear.figures.load import evidence_of_session, load_panel_evidence
from panelwear.folder import checkpoint
from tests.panelwear.report import desk
from tests.panelwear.report.page_reader import Page

BASELINE, MIDDLE, NEWEST = "2026-01-05-h0", "2026-06-21-h2000", "2027-01-07-h4400"


def brighter(directory: Path) -> None:
    """Multiply the light of 36 rows by 1.2, by hand."""
    path = directory / "readings.csv"
    header, *rows = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8"), newline="")))
    columns = [header.index(f"{name}_cd_m2") for name in "XYZ"]
    for row in rows[:36]:
        for column in columns:
            row[column] = repr(1.2 * float(row[column])) if row[column] else ""
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\r\n").writerows([header, *rows])
    path.write_bytes(out.getvalue().encode())


def unreadable(directory: Path) -> None:
    (directory / "checkpoint.json").write_text("{", encoding="utf-8")


def recordless(directory: Path) -> None:
    (directory / "checkpoint.json").unlink()


def broken_rows(directory: Path) -> None:
    path = directory / "readings.csv"
    path.write_bytes(path.read_bytes().replace(b"\r\n2,", b"\r\ntwo,", 1))


DAMAGES = [brighter, unreadable, recordless, broken_rows]


def compared(folder: Path, capsys: pytest.CaptureFixture[str], *words: str, code: int) -> str:
    assert main(["compare", str(folder), *words]) == code
    told = capsys.readouterr()
    return told.out or told.err


@pytest.mark.slow
@pytest.mark.parametrize("damage", DAMAGES)
def test_a_damaged_baseline_is_said_first_and_nothing_takes_its_place(
    folder: Path, capsys: pytest.CaptureFixture[str], damage: Callable[[Path], None]
) -> None:
    damage(folder / "checkpoints" / BASELINE)

    said = compared(folder, capsys, code=3)

    assert said.startswith(f"{BASELINE}/")
    assert f"{BASELINE} is left out of every verdict below" in said
    assert f"The baseline {BASELINE} is not as it was written, so nothing can be said since the baseline." in said
    assert "Since the baseline:" not in said
    assert f"Since last time: {MIDDLE}" in said
    assert BASELINE in compared(folder, capsys, "--forecast", "20", code=3).splitlines()[-1]
    data = json.loads(compared(folder, capsys, "--json", code=3))
    assert data["faults"][0].startswith(BASELINE)
    assert {row["since"] for table in data["tables"] if table["name"] == "changes" for row in table["rows"]} == {"last"}
    assert main(["report", str(folder)]) == 3
    assert "no report is written" in capsys.readouterr().err


@pytest.mark.slow
def test_as_it_is_counts_an_edited_baseline_and_still_says_so(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    brighter(folder / "checkpoints" / BASELINE)

    said = compared(folder, capsys, "--as-it-is", code=3)

    assert said.startswith(f"{BASELINE}/readings.csv: was changed after the checkpoint was closed.")
    assert f"Since the baseline: {BASELINE}" in said
    out = folder / "as-it-is.html"
    assert main(["report", str(folder), "--as-it-is", "--out", str(out)]) == 3
    assert f"{BASELINE}/readings.csv: was changed after the checkpoint was closed." in capsys.readouterr().out
    assert "Not as it was written" in Page(out.read_text(encoding="utf-8")).text


@pytest.mark.slow
@pytest.mark.parametrize("damage", DAMAGES)
def test_a_damaged_checkpoint_in_between_is_passed_over(
    folder: Path, capsys: pytest.CaptureFixture[str], damage: Callable[[Path], None]
) -> None:
    damage(folder / "checkpoints" / MIDDLE)

    said = compared(folder, capsys, code=3)

    assert f"Since the baseline: {BASELINE}" in said
    assert said.startswith(f"{MIDDLE}/")
    assert "Since last time" not in said
    assert main(["compare", str(folder), "--from", MIDDLE]) == 2
    assert "--as-it-is compares it nonetheless" in capsys.readouterr().err
    out = folder / "without.html"
    assert main(["report", str(folder), "--out", str(out)]) == 3
    assert f"{MIDDLE} is left out of every verdict below" in Page(out.read_text(encoding="utf-8")).text


def test_where_every_checkpoint_is_damaged_nothing_is_compared(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in (BASELINE, MIDDLE, NEWEST):
        unreadable(folder / "checkpoints" / name)

    assert "no other checkpoint holds readings" in compared(folder, capsys, code=3)


def test_a_checkpoint_that_cannot_be_read_stops_a_new_one(folder: Path) -> None:
    recordless(folder / "checkpoints" / BASELINE)

    with pytest.raises(FileFault, match=f"{BASELINE}/checkpoint.json: is missing"):
        checkpoint.open_or_create(folder, "harbour-desk", 5000.0, None, desk.BEGAN)

    assert not (folder / "checkpoints" / "2026-01-05-h5000").exists()


def test_a_folder_that_a_killed_run_left_empty_is_no_lost_checkpoint(folder: Path) -> None:
    (folder / "checkpoints" / "2027-02-01-h4500" / "photos").mkdir(parents=True)

    assert checkpoint.survey(folder)[1] == []
    assert load_panel_evidence(folder).faults == ()


def test_checkpoints_that_cannot_be_listed_are_not_none(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    made = desk.folder(tmp_path / "harbour-desk", ())
    shutil.rmtree(made / "checkpoints", ignore_errors=True)
    (made / "checkpoints").write_text("not a folder", encoding="utf-8")

    with pytest.raises(StorageFault, match="checkpoints: cannot be read"):
        checkpoint.all_of(made)
    assert main(["check", str(made)]) == 2
    assert "checkpoints: cannot be read" in capsys.readouterr().out
    assert main(["compare", str(made)]) == 5


@pytest.mark.parametrize("damage", DAMAGES)
def test_a_spot_does_not_stand_beside_a_damaged_checkpoint(folder: Path, damage: Callable[[Path], None]) -> None:
    damage(folder / "checkpoints" / MIDDLE)

    found = evidence_of_session(folder, NEWEST)

    assert found.last is not None
    assert found.last.name == BASELINE
    assert found.faults[0].startswith(f"{MIDDLE}/")


def test_the_session_that_is_asked_for_is_shown_whatever_was_done_to_it(folder: Path) -> None:
    brighter(folder / "checkpoints" / NEWEST)

    found = evidence_of_session(folder, NEWEST)

    assert (found.now.name, found.last.name if found.last else "") == (NEWEST, MIDDLE)
    assert found.faults == (f"{NEWEST}/readings.csv: was changed after the checkpoint was closed",)


def test_what_the_eye_found_is_asked_too_and_many_faults_are_counted(tmp_path: Path) -> None:
    made = desk.folder(tmp_path / "harbour-desk", (0.0,), note="seen")
    directory = made / "checkpoints" / BASELINE
    path = directory / "marks.csv"
    path.write_bytes(path.read_bytes().replace(b",plain,", b",glaring,"))
    readings = directory / "readings.csv"
    readings.write_bytes(readings.read_bytes().replace(b",ok,seen\r\n", b",fine,seen\r\n"))

    (evidence,) = load_panel_evidence(made, as_it_is=True).checkpoints

    faults = evidence.record.integrity.faults
    assert f"{BASELINE}/marks.csv: record 2: strength: 'glaring' is not one of" in " ".join(faults)
    assert sum("unknown 'fine'" in fault for fault in faults) == 5
    (more,) = [fault for fault in faults if "more faults" in fault]
    assert more.startswith(f"{BASELINE}/readings.csv: ")
    assert "'panelwear check' lists them" in more
