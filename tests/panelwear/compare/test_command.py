"""``panelwear compare`` on a folder that the real engine filled."""

from __future__ import annotations

import csv
import io
import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.readings import store
from panelwear.readings.marks import Mark
from panelwear.readings.matches import MatchResult
from panelwear.simulation.rehearsal import Wish, make_panel_folder, rehearse
from panelwear.simulation.rehearsal_folder import TRUTH
from panelwear.start.record import blocks_of_parts
from panelwear.telling.layout import text_of
from panelwear.telling.record import parts_from
from tests.panelwear.compare.test_zones import mark, match

TINY = str(Path(__file__).parents[1] / "simulation" / "tiny.toml")


SEAL = ("closed_utc", "digests_at_close", "record_sha256")


def reopen(directory: Path) -> None:
    """Take the seal off, as if the checkpoint had not been closed yet."""
    record = json.loads((directory / "checkpoint.json").read_text(encoding="utf-8"))
    kept = {k: v for k, v in record.items() if k not in SEAL} | {"status": "open"}
    (directory / "checkpoint.json").write_text(json.dumps(kept), encoding="utf-8")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    panel = make_panel_folder(tmp_path_factory.mktemp("rehearsed") / "harbour-desk")
    rehearse(panel, Wish(1, TINY, (0.0, 4400.0)), lambda _line: None)
    return panel


def test_it_says_what_changed(folder, capsys):
    assert main(["compare", str(folder)]) == 0
    said = capsys.readouterr().out
    assert said.startswith("harbour-desk: 2 checkpoints, 0 h to 4400 h of use")
    assert "Since the baseline: 2026-01-05-h0 (0 h) to 2027-01-07-h4400 (4400 h)" in said
    assert "white luminance" in said
    assert "compensation cycle ran in between" in said
    assert "Since last time" not in said
    assert TRUTH not in said


@pytest.mark.parametrize("command", ["compare", "report", "forecast", "export", "archive"])
def test_where_all_records_are_damaged_that_is_said_and_which(folder, tmp_path, capsys, command):
    copy = tmp_path / "harbour-desk"
    shutil.copytree(folder, copy)
    names = sorted(path.name for path in (copy / "checkpoints").iterdir())
    for name in names:
        (copy / "checkpoints" / name / "checkpoint.json").write_text("{", encoding="utf-8")
    until = ["--until", "peak 90 %"] if command == "forecast" else []

    assert main([command, str(copy), *until]) == 3
    out, err = capsys.readouterr()
    # An archive tells the first fault of each panel.
    for name in names[: 1 if command == "archive" else None]:
        assert f"{name}/checkpoint.json: " in out + err
    assert "there is no checkpoint" not in out + err
    assert "has no readings" not in out + err

    assert main(["status", str(copy)]) == 0
    said = capsys.readouterr().out
    assert f"cannot be read: {', '.join(names)}" in said
    assert "no checkpoint yet" not in said


def test_json_and_csv_hold_the_same_numbers(folder, capsys):
    assert main(["compare", str(folder), "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert main(["compare", str(folder), "--csv", "changes"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out, newline="")))
    changes = next(t for t in data["tables"] if t["name"] == "changes")
    assert [r["figure"] for r in rows] == [r["figure"] for r in changes["rows"]]
    for given, stored in zip(rows, changes["rows"], strict=True):
        assert given["verdict"] == stored["verdict"] != ""
        assert given["change"] == ("" if stored["change"] is None else str(stored["change"]))
    assert data["panel"] == "harbour-desk"


def test_json_holds_what_the_terminal_says(folder, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "300")
    assert main(["compare", str(folder)]) == 0
    printed = capsys.readouterr().out
    assert main(["compare", str(folder), "--json"]) == 0
    said = parts_from(json.loads(capsys.readouterr().out)["said"])
    assert f"{text_of(said, 300)}\n" == printed
    assert blocks_of_parts(said)[0].cells[0].startswith("harbour-desk: 2 checkpoints")
    rows = [block for block in blocks_of_parts(said) if len(block.cells) > 1]
    assert rows and all(len(block.cells) >= 3 for block in rows)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--csv", "nothing"], "there is no such table; there are changes,"),
        (["--from", "2027-01-07-h4400"], "is not earlier than"),
        (["--to", "2030"], "there is no checkpoint '2030'"),
        (["--forecast", "120"], "a loss lies between 0 and 100 %"),
        (["--level", "2"], "must lie within 0.5..0.999"),
    ],
)
def test_a_wish_that_makes_no_sense_is_one_sentence_and_code_2(folder, capsys, words, said):
    assert main(["compare", str(folder), *words]) == 2
    error = capsys.readouterr().err
    assert said in error
    assert error.count("\n") == 1


def test_a_folder_without_readings_says_what_to_do(tmp_path, capsys):
    panel = make_panel_folder(tmp_path / "empty")
    assert main(["compare", str(panel)]) == 2
    assert "'panelwear inspect' makes the first one" in capsys.readouterr().err
    assert main(["compare", str(tmp_path / "nowhere")]) in {2, 5}


def test_a_wider_level_gives_wider_intervals(folder, capsys):
    found = []
    for level in ("0.68", "0.99"):
        main(["compare", str(folder), "--csv", "changes", "--level", level])
        rows = csv.DictReader(io.StringIO(capsys.readouterr().out, newline=""))
        found.append(next(float(r["half_width"]) for r in rows if r["figure"] == "white.Y"))
    assert found[1] > 2 * found[0]


def test_a_forecast_from_two_checkpoints_is_refused_in_words(folder, capsys):
    assert main(["compare", str(folder), "--forecast", "20"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("white: No forecast: 4 checkpoints are needed, the baseline among them; there are 2")


def test_a_cut_warm_up_is_kept_in_mind_with_its_cost(folder, tmp_path, capsys):
    copy = tmp_path / "harbour-desk"
    shutil.copytree(folder, copy)
    readings = copy / "checkpoints" / "2027-01-07-h4400" / "readings.csv"
    short = readings.read_bytes()  # the tiny sequence warms up for too short a time
    assert b",not-settled," in short
    readings.write_bytes(short.replace(b",not-settled,", b",ok,"))
    assert main(["compare", str(copy), "--as-it-is"]) == 3
    said = capsys.readouterr().out
    once = "the panel was not yet steady at 2026-01-05-h0 (100 % of the readings)"
    cost = "absolute luminance, white point and channels against each other carry what was left of the warm-up"
    assert f"aveats since the baseline: {once}: {cost}" in said  # it may begin the paragraph
    assert f"  Flagged: {once}. Effect: {cost}" in said
    assert main(["compare", str(folder)]) == 0
    assert f"{once} and 2027-01-07-h4400 (100 % of the readings)" in capsys.readouterr().out


def test_marks_and_matches_of_the_folder_stand_beside_the_instrument(folder, tmp_path, capsys):
    copy = tmp_path / "harbour-desk"
    shutil.copytree(folder, copy)
    last = copy / "checkpoints" / "2027-01-07-h4400"
    assert main(["compare", str(copy), "--csv", "changes"]) == 0
    rows = csv.DictReader(io.StringIO(capsys.readouterr().out, newline=""))
    # The eye sees what the instrument reads, whatever this rehearsal's noise made of it.
    seen = round(next(float(row["now"]) for row in rows if row["figure"] == "zone/vessel-list"), 1)
    reopen(last)
    with store.Store(last / "matches.csv", MatchResult, b"{}") as matches:
        matches.append(replace(match(seen, zone="vessel-list"), rect_px="0 0 256 720"))
    with store.Store(last / "marks.csv", Mark, b"{}") as marks:
        marks.append(mark(0, 0, 250, 700))
    assert main(["compare", str(copy)]) == 0
    said = capsys.readouterr().out
    assert f"Eye and instrument agree: by eye −{-seen:.2f} ± 0.24 %" in said  # t of 7 degrees of freedom: 2.365
    assert "Marked by eye once (band, plain, on mid grey)" in said
    assert main(["compare", str(copy), "--csv", "by-eye"]) == 0
    assert f"vessel-list,adjustment,grey,128.0,{seen}" in capsys.readouterr().out


def test_a_look_with_the_eye_alone_does_not_take_the_place_of_the_newest_readings(folder, tmp_path, capsys):
    copy = tmp_path / "harbour-desk"
    shutil.copytree(folder, copy)
    assert main(["compare", str(copy), "--csv", "changes"]) == 0
    before = capsys.readouterr().out
    looked = copy / "checkpoints" / "2027-02-10-h4600"
    looked.mkdir()
    record = json.loads((copy / "checkpoints" / "2027-01-07-h4400" / "checkpoint.json").read_text())
    session = {k: v for k, v in record["sessions"][0].items() if k not in {"probe", "digests"}} | {"kind": "look"}
    kept = {k: v for k, v in record.items() if k not in {*SEAL, "readings"}} | {"status": "open"}
    kept |= {"hours": 4600, "started_utc": "2027-02-10T10:00:00Z", "sessions": [session]}
    (looked / "checkpoint.json").write_text(json.dumps(kept))
    with store.Store(looked / "marks.csv", Mark, b"{}") as marks:
        marks.append(mark(0, 0, 250, 700))
    assert main(["compare", str(copy), "--csv", "changes"]) == 0
    assert capsys.readouterr().out == before
    assert main(["compare", str(copy)]) == 0
    said = capsys.readouterr().out
    assert said.startswith("harbour-desk: 2 checkpoints, 0 h to 4400 h of use")
    assert "what the eye found there stands beside the readings of '2027-01-07-h4400'" in said
    assert "Marked by eye once" in said


def test_the_baseline_alone_says_so_and_tells_its_zones(folder, capsys):
    assert main(["compare", str(folder), "--to", "2026-01-05-h0"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("harbour-desk: 1 checkpoint, 0 h of use")
    assert "2026-01-05-h0 (0 h of use) is the baseline, the first of 2 checkpoints" in said
    assert "vessel-list: " in said
    assert " % against 'chart' as it stands" in said
