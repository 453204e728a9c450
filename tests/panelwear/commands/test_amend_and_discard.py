"""A mistyped answer is corrected beside the sealed record, and a checkpoint set aside comes back as it was."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.figures.load import load_evidence, load_panel_evidence
from panelwear.folder import checkpoint, set_aside
from panelwear.report.build import write_report
from panelwear.upkeep.check import check
from tests.panelwear.report import desk
from tests.panelwear.report.page_reader import Page

BASELINE, NEWEST = "2026-01-05-h0", "2027-01-07-h4400"
NOW = datetime(2026, 2, 3, 20, tzinfo=UTC)


def mistyped(folder: Path) -> checkpoint.Checkpoint:
    """One sealed checkpoint whose refresh rate was mistyped."""
    made = desk.folder(folder, ())
    found = checkpoint.open_or_create(made, "harbour-desk", 500, 3, NOW)
    found.begin_session(sequence="spot", source=b"x = 1\n", seed=1, now=NOW, facts={})
    found.session["status"] = "done"
    found.record["answers"] = {"refresh_hz": "2", "brightness": "60"}
    found.save()
    found.close(NOW)
    return found


def test_a_mistyped_answer_is_corrected_and_both_are_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = mistyped(tmp_path / "harbour-desk")
    sealed = found.record_path.read_bytes()
    words = ["amend", str(tmp_path / "harbour-desk"), found.name]

    assert main([*words, "--set", "refresh_hz=60", "--set", "cycles=4", "--why", "typed too fast", "--by", "Anna"]) == 0

    assert "refresh_hz is 60 from now on, was 2" in capsys.readouterr().out
    assert found.record_path.read_bytes() == sealed
    assert check(found.directory).problems == ()
    again = checkpoint.load(found.directory)
    assert again.record["answers"]["refresh_hz"] == "2"
    assert (again.corrected["answers"]["refresh_hz"], again.corrected["cycles"]) == ("60", 4)
    (evidence,) = load_evidence(tmp_path / "harbour-desk")
    assert evidence.circumstances.answers == {"refresh_hz": "60", "brightness": "60"}
    assert evidence.circumstances.cycles == 4
    (said,) = evidence.record.remarks()
    assert " by Anna: refresh_hz is 60, was 2, cycles is 4, was 3: typed too fast." in said
    assert checkpoint.last_answers(tmp_path / "harbour-desk")["refresh_hz"] == "60"
    assert main(words) == 0
    assert "refresh_hz = 60\n" in capsys.readouterr().out


def test_what_stands_already_is_said_and_not_recorded(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = mistyped(tmp_path / "harbour-desk")
    words = ["amend", str(tmp_path / "harbour-desk"), found.name]
    same = ["--set", "brightness=60", "--set", "hours=500", "--set", "cycles=3", "--set", "room_lx="]

    assert main(words) == 0
    listed = capsys.readouterr().out
    assert "room_lx = not stated\n" in listed
    assert "None" not in listed
    assert main([*words, *same, "--why", "x"]) == 0
    said = capsys.readouterr().out
    assert said.count("stands so already") == 4
    assert "from now on" not in said
    assert found.amendments() == []
    assert main([*words, *same, "--set", "brightness=70", "--why", "x"]) == 0
    (entry,) = found.amendments()
    assert entry["set"] == {"brightness": "70"}
    assert main([*words, "--set", "hours=500 counted", "--why", "x"]) == 0
    assert checkpoint.load(found.directory).use.told == "500 h, counted"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--set", "refresh_hz=2", "--why", "x"], "2 Hz is outside 10..1000 Hz"),
        (["--set", "hours=-1", "--why", "x"], "-1: hours of use lie within 0..1000000"),
        (["--set", "hours=nan", "--why", "x"], "'nan': write hours such as 3600"),
        (["--set", "hdr_off=perhaps", "--why", "x"], "'perhaps' is none of"),
        (["--set", "refresh=60", "--why", "x"], "write KEY=VALUE with one of hours"),
        (["--set", "refresh_hz", "--why", "x"], "write KEY=VALUE"),
        (["--set", "refresh_hz=60"], "--why TEXT"),
    ],
)
def test_a_correction_that_makes_no_sense_changes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    found = mistyped(tmp_path / "harbour-desk")

    assert main(["amend", str(tmp_path / "harbour-desk"), found.name, *words]) == 2

    assert said in capsys.readouterr().err
    assert not (found.directory / "amendments.json").exists()


def test_the_hours_of_an_open_checkpoint_can_be_corrected_within_their_order(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    first = mistyped(tmp_path / "harbour-desk")
    panel_dir = tmp_path / "harbour-desk"
    found = checkpoint.open_or_create(panel_dir, "harbour-desk", 14600, None, NOW + timedelta(days=30))
    words = ["amend", str(panel_dir), found.name, "--why", "one nought too many"]

    assert main([*words, "--set", "hours=400"]) == 2
    assert f"{first.name} was begun before it at 500 h" in capsys.readouterr().err
    assert main([*words, "--set", "hours=1460"]) == 0

    gone_on = checkpoint.open_or_create(panel_dir, "harbour-desk", 1460, None, NOW)
    assert (gone_on.name, gone_on.hours) == (found.name, 1460)
    gone_on.close(NOW)
    assert checkpoint.open_or_create(panel_dir, "harbour-desk", 2000, None, NOW).hours == 2000


def test_what_is_answered_after_a_correction_is_newer(tmp_path: Path) -> None:
    made = desk.folder(tmp_path / "harbour-desk", ())
    found = checkpoint.open_or_create(made, "harbour-desk", 500, None, NOW)
    found.record["answers"] = {"brightness": "6"}
    found.save()
    found.amend("a digit was lost", NOW, {"brightness": "60"})
    assert found.corrected["answers"] == {"brightness": "60"}

    found.record["answers"] = {"brightness": "55"}
    found.save()

    assert checkpoint.load(found.directory).corrected["answers"] == {"brightness": "55"}


def test_a_damaged_amendment_is_told_and_the_checkpoint_gives_no_verdict(tmp_path: Path) -> None:
    made = desk.folder(tmp_path / "harbour-desk", (0.0,))
    (found,) = checkpoint.all_of(made)
    (found.directory / "amendments.json").write_text('[{"utc": 3}]', encoding="utf-8")

    loaded = load_panel_evidence(made)

    assert loaded.out.keys() == {found.name}
    assert any("amendments" in fault for fault in loaded.faults)


def files_of(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_a_baseline_is_set_aside_and_put_back(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    panel_dir = desk.folder(tmp_path / "harbour-desk", (0.0, 4400.0))
    before = files_of(panel_dir / "checkpoints")
    words = ["discard", str(panel_dir), BASELINE]

    assert main([*words, "--why", "another picture mode", "--by", "Anna"]) == 0

    said = capsys.readouterr().out
    assert f"lies in set-aside/{BASELINE}" in said
    assert f"{NEWEST} is the baseline from now on" in said
    assert [e.name for e in load_evidence(panel_dir)] == [NEWEST]
    page = Page(write_report(panel_dir).read_text(encoding="utf-8"))
    assert f"{BASELINE}: set aside on" in page.text
    assert "by Anna: another picture mode." in page.text
    assert check(panel_dir).problems == ()
    assert check(panel_dir / "set-aside" / "set-aside.json").what == "what was set aside"
    assert main(["discard", str(panel_dir)]) == 0
    assert BASELINE in capsys.readouterr().out

    assert main([*words, "--undo"]) == 0

    assert files_of(panel_dir / "checkpoints") == before
    assert set_aside.lying_there(panel_dir) == ()
    assert [e.name for e in load_evidence(panel_dir)] == [BASELINE, NEWEST]
    log = json.loads((panel_dir / "set-aside" / "set-aside.json").read_text(encoding="utf-8"))
    assert [(one["by"], bool(one["back_utc"])) for one in log] == [("Anna", True)]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["2020-01-01-h0", "--why", "x"], "has no checkpoint '2020-01-01-h0'; there are"),
        (["../checkpoints", "--why", "x"], "has no checkpoint '../checkpoints'"),
        (["2026-02-03-h500"], "--why TEXT"),
        (["2026-02-03-h500", "--undo"], "is not set aside"),
    ],
)
def test_what_cannot_be_set_aside_is_said_and_nothing_is_moved(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    mistyped(tmp_path / "harbour-desk")
    before = files_of(tmp_path)

    assert main(["discard", str(tmp_path / "harbour-desk"), *words]) == 2

    assert said in capsys.readouterr().err
    assert {name: data for name, data in files_of(tmp_path).items() if "run.lock" not in name} == {
        name: data for name, data in before.items() if "run.lock" not in name
    }


def test_a_checkpoint_that_lost_its_record_can_be_set_aside_and_its_name_used_again(tmp_path: Path) -> None:
    found = mistyped(tmp_path / "harbour-desk")
    panel_dir = tmp_path / "harbour-desk"
    for _ in range(2):
        found.record_path.unlink()
        assert main(["discard", str(panel_dir), found.name, "--why", "its record is lost"]) == 0
        found = checkpoint.open_or_create(panel_dir, "harbour-desk", 500, 3, NOW)
        found.begin_session(sequence="spot", source=b"x = 1\n", seed=1, now=NOW, facts={})

    assert [one.folder for one in set_aside.lying_there(panel_dir)] == [found.name, f"{found.name}-2"]
    assert main(["discard", str(panel_dir), f"{found.name}-2", "--undo"]) == 2  # its place is taken
