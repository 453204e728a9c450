"""``panelwear rehearse`` from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.commands import rehearse

TINY = str(Path(__file__).parents[1] / "simulation" / "tiny.toml")


def test_it_leaves_panel_folder_report_pictures_and_truth_and_can_be_run_again(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "rehearsal"
    for seed, hours in (("1", (0.0,)), ("2", (0.0, 4400.0))):
        monkeypatch.setattr("panelwear.simulation.rehearsal.QUICK_HOURS", hours)
        words = ["rehearse", "--out", str(out), "--sequence", TINY, "--quick", "--seed", seed]
        assert main(words) == 0
    said = capsys.readouterr().out
    assert "both are simulated, and every number is invented" in said
    assert "clock-badge" in said
    assert any("clock-badge" in line and line.rstrip().endswith("changed") for line in said.splitlines())
    truth = json.loads((out / "true-values.json").read_text(encoding="utf-8"))
    assert truth["seed"] == 2
    assert [c["hours"] for c in truth["checkpoints"]] == [0.0, 4400.0]
    readings = sorted((out / "harbour-desk" / "checkpoints").glob("*/readings.csv"))
    assert len(readings) == 2
    assert len(list((out / "pictures").glob("*.png"))) == 4
    report = (out / "harbour-desk" / "reports" / "harbour-desk-2027-01-07.html").read_text(encoding="utf-8")
    assert "Invented: a simulated panel" in report
    assert "clock-badge turned brighter than its reference" in report
    assert "harbour-desk-2027-01-07.html" in said
    assert "no panel and no probe" in (out / "about.txt").read_text(encoding="utf-8")


def test_what_somebody_else_put_there_is_not_overwritten(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "letter.txt").write_text("dear", encoding="utf-8")
    assert main(["rehearse", "--out", str(tmp_path), "--sequence", TINY]) == 5
    assert "holds 'letter.txt', which no rehearsal made" in capsys.readouterr().err
    assert [p.name for p in tmp_path.iterdir()] == ["letter.txt"]


def test_an_unknown_sequence_ends_before_anything_is_made(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "rehearsal"
    assert main(["rehearse", "--out", str(out), "--sequence", "chekpoint"]) == 2
    assert "chekpoint" in capsys.readouterr().err
    assert not out.exists()


def test_an_impossible_seed_is_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rehearse", "--out", str(tmp_path / "r"), "--seed", "-1"]) == 2
    assert "--seed -1: wanted a whole number" in capsys.readouterr().err


def test_its_module_says_what_it_does() -> None:
    assert rehearse.__doc__ is not None
    assert "simulated" in rehearse.__doc__
