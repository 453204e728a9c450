"""A panel folder written by version 0.1.0, which said sitting for session and null for match, is still read."""

from __future__ import annotations

import csv
import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from panelwear.byeye.eye_files import EyeFindings
from panelwear.figures.load import load_evidence
from panelwear.folder import checkpoint
from panelwear.folder.record import FORMAT
from panelwear.readings import store
from panelwear.readings.csvw import metadata
from panelwear.readings.marks import Mark
from panelwear.readings.matches import MatchResult
from panelwear.readings.row import Row
from panelwear.upkeep.check import check

STORED = Path(__file__).parents[2] / "references" / "folder-0.1.0"
BASELINE, LAST = "2026-01-05-h0", "2027-01-07-h4400"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return Path(shutil.copytree(STORED, tmp_path / "harbour-desk"))


def reopened(folder: Path) -> checkpoint.Checkpoint:
    """Take the seal off the last checkpoint, as version 0.1.0 left one that was not closed yet."""
    path = folder / "checkpoints" / LAST / "checkpoint.json"
    record = json.loads(path.read_text(encoding="utf-8"))
    sealed = ("digests_at_close", "closed_utc", "record_sha256")
    open_again = {k: v for k, v in record.items() if k not in sealed} | {"status": "open"}
    path.write_text(json.dumps(open_again), encoding="utf-8")
    return checkpoint.load(path.parent)


def test_it_has_no_faults_and_its_seal_holds(folder: Path) -> None:
    assert check(folder).problems == ()
    assert all(c.is_closed and c.changed_since_close() == () for c in checkpoint.all_of(folder))


def test_an_edit_of_a_sealed_record_is_still_noticed(folder: Path) -> None:
    path = folder / "checkpoints" / LAST / "checkpoint.json"
    path.write_text(path.read_text(encoding="utf-8").replace('"hours": 4400', '"hours": 4401'), encoding="utf-8")
    (said,) = checkpoint.load(path.parent).changed_since_close()
    assert said.endswith("checkpoint.json: was changed after the checkpoint was closed")


def test_readings_marks_and_matches_are_read(folder: Path) -> None:
    last = folder / "checkpoints" / LAST
    with (last / "readings.csv").open(encoding="utf-8", newline="") as lines:
        stored = list(csv.DictReader(lines))
    rows = checkpoint.load(last).rows()
    assert [r.session for r in rows] == [int(r["sitting"]) for r in stored] and len(rows) == 94
    assert [r.Y_cd_m2 for r in rows] == [float(r["Y_cd_m2"]) if r["Y_cd_m2"] else None for r in stored]
    assert [m.session for m in store.read(last / "marks.csv", Mark)] == [1]
    assert [n.contrast_percent for n in store.read(last / "nulls.csv", MatchResult)] == [2.5]
    baseline, newest = load_evidence(folder)
    assert (baseline.circumstances.name, newest.circumstances.name) == (BASELINE, LAST)
    assert newest.circumstances.sequences == baseline.circumstances.sequences != ()


def test_an_open_checkpoint_goes_on_in_its_own_columns(folder: Path) -> None:
    found = reopened(folder)
    row = found.rows()[-1]
    with found.open_journal() as journal:
        journal.append(Row(**{name: getattr(row, name) for name in Row.__slots__} | {"row": row.row + 1}))
    found.save()
    again = checkpoint.load(found.directory)
    assert again.record["format"] == FORMAT and len(again.record["sessions"]) == 1
    assert [r.row for r in again.rows()] == list(range(1, 96))
    header = found.readings_path.read_text(encoding="utf-8").splitlines()[0]
    assert header.startswith("row,sitting,visit"), "the description beside the file tells these columns"
    assert check(folder).problems == ()


@pytest.mark.parametrize(("file", "record"), [("marks.csv", Mark), ("nulls.csv", MatchResult)])
def test_what_the_eye_adds_is_described_as_it_is_written(folder: Path, file: str, record: type) -> None:
    found = reopened(folder)
    described = found.directory / f"{file}-metadata.json"
    former = metadata(file, record, title="as version 0.1.0 left it")
    former = former.replace(b'"session"', b'"sitting"').replace(b'"match"', b'"null"')
    described.write_bytes(former)
    assert check(described).problems == ()
    findings = EyeFindings(found)
    if file == "nulls.csv":
        findings.add_match(replace(findings.matches[0], match=findings.next_match))
        assert not (found.directory / "matches.csv").exists(), "one name a folder, the one its digests know"
        assert [n.match for n in load_evidence(folder)[-1].record.matches] == [1, 2]
    else:
        findings.keep_marks([replace(findings.earlier_sessions[0], mark=findings.next_mark)])
    assert check(described).problems == ()
    assert check(found.directory).problems == ()
