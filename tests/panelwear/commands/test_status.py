"""``panelwear status``: what there is, what is open, what is due, what comes next."""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.commands.status import parts_of
from panelwear.folder import checkpoint
from panelwear.folder.panel import load_panel
from panelwear.folder.shoots import FORMAT, ShootRecord, ShotRecord, keep_list, save_shoot
from panelwear.upkeep.create import PanelSpec, new_panel
from panelwear.upkeep.status import PanelStatus, status_of
from sequences import shoots
from tests.panelwear.telling.unbroken import unbroken

BEGUN = datetime(2026, 2, 3, 20, tzinfo=UTC)


def folder_with(tmp_path: Path, status: str = "done", *, closed: bool = False) -> Path:
    folder = tmp_path / "desk"
    new_panel(folder, PanelSpec("harbour-desk", 320, 200, (320.0, 200.0)))
    found = checkpoint.open_or_create(folder, "harbour-desk", 500, 12, BEGUN)
    found.begin_session(sequence="spot", source=b"name = 'spot'\n", seed=1, now=BEGUN, facts={"steps": 19})
    found.session["status"] = status
    found.save()
    if closed:
        found.close(BEGUN)
    return folder


def status(folder: Path, today: date) -> PanelStatus:
    return status_of(load_panel(folder), today)


def test_a_new_panel_wants_its_baseline(tmp_path: Path) -> None:
    new_panel(tmp_path / "desk", PanelSpec("harbour-desk", 320, 200, (320.0, 200.0)))
    found = status(tmp_path / "desk", date(2026, 2, 3))
    assert (found.doing, found.due, found.checkpoints) == ("inspect", "", ())
    assert "panelwear inspect" in found.next_step
    assert "no checkpoint yet" in unbroken(parts_of(found))


def test_an_interrupted_session_is_gone_on_with_first(tmp_path: Path) -> None:
    found = status(folder_with(tmp_path, "stopped"), date(2027, 1, 1))
    assert found.doing == "resume"
    assert f"'spot' of {found.checkpoints[0].name} was interrupted with 0 readings stored" in found.next_step
    assert any("spot (interrupted)" in line for line in unbroken(parts_of(found)))


@pytest.mark.parametrize(("taken", "doing"), [(1, "shoot"), (2, "close")])
def test_an_interrupted_shoot_is_gone_on_with(tmp_path: Path, taken: int, doing: str) -> None:
    folder = tmp_path / "desk"
    new_panel(folder, PanelSpec("harbour-desk", 320, 200, (320.0, 200.0)))
    made = checkpoint.open_or_create(folder, "harbour-desk", 500, 12, BEGUN)
    source = shoots.LISTS.find("short").read_bytes()
    keep_list(made.directory, "shoot-1", source)
    shots = tuple(ShotRecord(name, "dots", 2, skipped=n < taken) for n, name in enumerate(("dots", "dots-end")))
    digest, begun = hashlib.sha256(source).hexdigest(), "2026-02-03T20:00:00.000Z"
    save_shoot(made.directory, ShootRecord(FORMAT, "shoot-1", "short", digest, "stopped", 0, begun, shots))

    found = status(folder, date(2026, 2, 4))

    assert (found.problems, found.doing) == ((), doing)
    if doing == "shoot":
        assert f"{made.name}: 'shoot-1' was interrupted with 1 of 2 photographs taken" in found.next_step
        assert any("shoot-1 (interrupted)" in line for line in unbroken(parts_of(found)))
    assert found.due == "2026-05-05", "photographs are a beginning too"


def test_a_by_eye_check_that_was_broken_off_is_not_gone_on_with(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    found = checkpoint.find(folder, None)
    found.begin_session(sequence="by-eye", source=b"name = 'by-eye'\n", seed=1, now=BEGUN, facts={})
    found.session["status"] = "stopped"
    found.save()
    assert status(folder, date(2026, 2, 3)).doing == "close"


def test_a_finished_one_that_is_open_is_sealed(tmp_path: Path) -> None:
    assert status(folder_with(tmp_path), date(2026, 2, 3)).doing == "close"


@pytest.mark.parametrize(
    ("today", "doing", "said"),
    [
        (date(2026, 2, 4), "wait", "due on 2026-05-05, in 90 days"),
        (date(2026, 5, 4), "wait", "in 1 day"),
        (date(2026, 5, 5), "inspect", "due today"),
        (date(2026, 5, 7), "inspect", "due since 2026-05-05, for 2 days"),
    ],
)
def test_a_quarter_later_the_next_is_due(tmp_path: Path, today: date, doing: str, said: str) -> None:
    found = status(folder_with(tmp_path, closed=True), today)
    assert (found.doing, found.due) == (doing, "2026-05-05")
    assert said in found.next_step


def test_panel_toml_says_how_often(tmp_path: Path) -> None:
    folder = folder_with(tmp_path, closed=True)
    text = (folder / "panel.toml").read_text(encoding="utf-8")
    (folder / "panel.toml").write_text(text.replace("every_days = 91", "every_days = 30"), encoding="utf-8")
    assert status(folder, date(2026, 2, 4)).due == "2026-03-05"


def test_faults_come_first_and_the_rest_is_still_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = folder_with(tmp_path, closed=True)
    next(folder.glob("checkpoints/*/sequence.toml")).write_text("name = 'other'\n", encoding="utf-8")
    assert main(["status", str(folder)]) == 0
    said = capsys.readouterr().out
    assert "sequence.toml: was changed after the checkpoint was closed" in said
    assert "next: put the files right first" in said
    row = next(line for line in said.splitlines() if "closed" in line)
    assert row.split()[1:5] == ["500", "12", "0", "closed"]


def test_as_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["status", str(folder_with(tmp_path)), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["checkpoints"][0]["sessions"] == [{"sequence": "spot", "is_done": True}]
    assert told["doing"] == "close"


def test_a_folder_without_panel_is_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["status", str(tmp_path)]) == 2
    assert "holds no panel.toml" in capsys.readouterr().err
