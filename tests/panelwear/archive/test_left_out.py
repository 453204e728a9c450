"""Patches that no figure is made of are not in a table of patches, and the table says so."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import openpyxl
import pytest

from panelwear.cli import main
from tests.panelwear.archive import panels
from tests.panelwear.archive.cgats_reader import read_cgats

LAST = "2027-01-07-h4400"
PURPOSES = {"primary/centre/green/c255/w10": "warm-up", "primary/centre/blue/c255/w10": "trial"}
FAILED = "primary/centre/red/c255/w10"


@pytest.fixture(scope="module")
def panel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a panel of which two patches were read to prepare the run, and one could not be read."""
    made = panels.make(tmp_path_factory.mktemp("many"), 1, (4400.0,)) / "panel-0001"
    path = made / "checkpoints" / LAST / "readings.csv"
    rows = [*csv.DictReader(io.StringIO(path.read_bytes().decode(), newline=""))]
    for row in rows:
        row["purpose"] = PURPOSES.get(row["patch"], row["purpose"])
        if row["patch"] == FAILED:
            row.update(dict.fromkeys(("X_cd_m2", "Y_cd_m2", "Z_cd_m2", "x", "y", "u_prime", "v_prime"), ""))
            row.update(cct_K="", duv="", flags="skipped")
    out = io.StringIO()
    writer = csv.DictWriter(out, [*rows[0]], lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(rows)
    path.write_bytes(out.getvalue().encode())
    return made


def test_text_and_spreadsheet_say_how_many_patches_are_missing_and_why(panel: Path, tmp_path: Path) -> None:
    words = ["export", str(panel), "--as-it-is", "--format", "cgats,xlsx", "--out", str(tmp_path)]
    assert main(words) == 3  # the readings are not as they were written
    data = (tmp_path / f"panel-0001-{LAST}.txt").read_bytes()
    here = {s["SAMPLE_NAME"] for s in read_cgats(data).sets}
    assert not here & {*PURPOSES, FAILED}
    shown = len(here) + len(PURPOSES) + 1
    said = (
        f"2 of {shown} patches are left out, since they were read to prepare the run or for the room's light and no "
        "figure is made of them: 1 of warm-up; 1 of trial.",
        f"1 of {shown} patches is left out for want of a usable reading: {FAILED}.",
    )
    comments = [line[2:] for line in data.decode().split("\r\n") if line.startswith("# ")]
    notes = [row[1] for row in openpyxl.load_workbook(tmp_path / f"panel-0001-{LAST}.xlsx")["notes"].values]
    for sentence in said:
        assert sentence in "".join(comments)
        assert sentence in notes


def test_where_every_patch_is_there_nothing_is_said(tmp_path: Path) -> None:
    made = panels.make(tmp_path, 1, (4400.0,)) / "panel-0001"
    assert main(["export", str(made), "--format", "cgats", "--out", str(tmp_path / "out")]) == 0
    assert b"left out" not in (tmp_path / "out" / f"panel-0001-{LAST}.txt").read_bytes()
