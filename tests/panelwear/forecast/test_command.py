"""The command ``forecast`` over a panel folder that the real engine filled."""

import csv
import io
import json
import shutil
from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.simulation.rehearsal import Wish, make_panel_folder, rehearse
from panelwear.telling.layout import text_of
from panelwear.telling.record import parts_from

TINY = str(Path(__file__).parents[1] / "simulation" / "tiny.toml")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    panel = make_panel_folder(tmp_path_factory.mktemp("foretold") / "harbour-desk")
    rehearse(panel, Wish(1, TINY, (0.0, 1100.0, 2200.0, 3300.0, 4400.0)), lambda _line: None)
    return panel


def test_targets_and_uses_are_answered_with_hours_days_and_months(folder, capsys):
    words = ["--until", "vessel-list contrast 9 %", "--until", "clock-badge visible", "--use", "4h/day"]
    assert main(["forecast", str(folder), *words]) == 0
    said = capsys.readouterr().out
    assert "vessel-list does not come to 9 % contrast before" in said or "vessel-list comes to 9 % contrast" in said
    assert "clock-badge is visible already" in said
    assert "this panel's own" in said and "4h/day" in said
    assert "Half the brightness: 3.2 times (2.6 to 4.0)" in said


def test_quiet_leaves_answers_and_table(folder, capsys):
    assert main(["-q", "forecast", str(folder), "--until", "vessel-list contrast 9 %"]) == 0
    said = capsys.readouterr().out
    assert "vessel-list" in said and "Half the brightness" not in said


def test_json_and_csv_hold_the_same_rows_and_json_what_is_said(folder, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "300")
    words = ["forecast", str(folder), "--use", "24/7"]
    assert main(words) == 0
    printed = capsys.readouterr().out
    assert main([*words, "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert f"{text_of(parts_from(data['said']), 300)}\n" == printed
    assert main([*words, "--csv"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out, newline="")))
    stored = data["tables"][0]["rows"]
    assert [row["until"] for row in rows] == [row["until"] for row in stored]
    assert data["panel"] == "harbour-desk" and data["now_h"] == 4400.0 and data["own_h_a_day"] > 0


def test_the_table_goes_to_a_file_with_what_its_columns_mean_beside_it(folder, tmp_path, capsys):
    out = tmp_path / "when.csv"
    assert main(["forecast", str(folder), "--csv", "--out", str(out)]) == 0
    assert "its columns with their units in" in capsys.readouterr().out
    units = {
        c["name"]: c.get("unit")
        for c in json.loads((tmp_path / "when.csv-metadata.json").read_text())["tableSchema"]["columns"]
    }
    assert list(units) == out.read_text(encoding="utf-8").splitlines()[0].split(",")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--until", "vessel-lst visible"], "did you mean 'vessel-list'?"),
        (["--use", "now and then"], "is no way of using a panel"),
        (["--use", "-3h/day"], "--use needs a value; one that begins with '-' is joined to it by '=', as in --use=-3"),
        (["--use=-3h/day"], "a day of use has 0.1 to 24 h"),
        (["--probe-drift", "40"], "between 0 and 20 %"),
        (["--out", "when.csv"], "add --csv"),
    ],
)
def test_a_wish_that_makes_no_sense_is_one_sentence_and_code_2(folder, capsys, words, said):
    try:
        code = main(["forecast", str(folder), *words])
    except SystemExit as ended:
        code = ended.code
    assert code == 2
    error = capsys.readouterr().err
    assert said in error
    assert error.count("\n") == 1


def test_a_folder_without_readings_says_what_to_do(tmp_path, capsys):
    panel = make_panel_folder(tmp_path / "empty")
    assert main(["forecast", str(panel)]) == 2
    assert "'panelwear inspect' makes the first one" in capsys.readouterr().err


def test_a_range_of_the_newest_hours_is_told_everywhere_and_one_too_wide_refuses(folder, tmp_path, capsys):
    copy = tmp_path / "harbour-desk"
    shutil.copytree(folder, copy)
    asked = ["forecast", str(copy), "--until", "vessel-list contrast 9 %"]
    assert main([*asked, "--json"]) == 0
    known = json.loads(capsys.readouterr().out)
    amend = ["amend", str(copy), "2027-01-07-h4400", "--why", "from memory", "--by", "somebody"]
    assert main([*amend, "--set", "hours=4200-4600"]) == 0
    capsys.readouterr()
    assert main([*asked, "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert (data["now_low_h"], data["now_h"], data["now_high_h"]) == (4200, 4400, 4600)
    paces = [data[name] for name in ("own_low_h_a_day", "own_h_a_day", "own_high_h_a_day")]
    assert paces == pytest.approx([4200 / 367, 4400 / 367, 4600 / 367])
    (row,), (before,) = data["tables"][0]["rows"], known["tables"][0]["rows"]
    assert row["low_h"] < before["low_h"]
    assert row["low_days"] == pytest.approx(row["low_h"] / paces[2], rel=0.01)
    assert row["low_left_days"] == pytest.approx((row["low_h"] - 4600) / paces[2], rel=0.02)
    assert main(asked) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "this panel's pace (11.44 to 12.53 h a day)" in said
    assert main([*amend, "--set", "hours=2000-6800"]) == 0
    capsys.readouterr()
    assert main(asked) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "the hours are known within ranges only, and 2000 to 6800 h lie between the checkpoints" in said


ALIKE = """
[[stretches]]
since = "always"
hours_a_day = 8
white_cd_m2 = 120
content = [{zone = "vessel-list", share = 1, shows = "white"}]
"""


@pytest.mark.parametrize(
    ("told", "fault"),
    [
        (ALIKE.replace("vessel-list", "vessel-lst"), "'vessel-lst' is no zone of panel.toml; did you mean"),
        (
            ALIKE.replace("always", "2026-01-05-h"),
            "'2026-01-05-h' is neither a day such as 2026-02-03 nor a checkpoint",
        ),
        (f'{ALIKE}map = "screens-1.npz"\n', "usage/screens-1.npz: cannot be read"),
        (ALIKE.replace("white_cd_m2", "whit_cd_m2"), "whit_cd_m2"),
        (f"{ALIKE}[", "usage.toml"),
    ],
)
def test_usage_that_names_nothing_or_cannot_be_read_is_said_with_every_forecast(folder, tmp_path, capsys, told, fault):
    copy = tmp_path / "harbour-desk"
    shutil.copytree(folder, copy)
    (copy / "usage.toml").write_text(told, encoding="utf-8")
    for words in (["forecast"], ["compare", "--forecast", "20"]):
        command = [words[0], str(copy), *words[1:]]
        assert main(command) == 2
        said = " ".join(capsys.readouterr().out.split())
        assert fault in said and "until that is put right, forecasts" in said and "clock-badge is visible" in said
    for command in (["forecast", str(copy), "--json"], ["compare", str(copy), "--json"]):
        assert main(command) == 2
        data = json.loads(capsys.readouterr().out)
        assert any(fault in one for one in data["faults"])
        assert fault in " ".join(text_of(parts_from(data["said"]), 300).split())
    for command in (["forecast", str(copy), "--csv"], ["compare", str(copy), "--csv", "zone-forecasts"]):
        assert main(command) == 2
        told_apart = capsys.readouterr()
        assert fault in " ".join(told_apart.err.split()) and fault not in told_apart.out
    assert main(["compare", str(copy)]) == 0  # nothing there rests on it
    (copy / "usage.toml").write_text(ALIKE, encoding="utf-8")
    assert main(["forecast", str(copy)]) == 0
