"""Closing: an interrupted inspection is not sealed by mistake."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime
from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.folder import checkpoint
from panelwear.folder.shoots import FORMAT, ShootRecord, ShotRecord, keep_list, save_shoot
from panelwear.run.session import run_checkpoint
from panelwear.upkeep.create import PanelSpec, new_panel
from sequences import shoots
from tests.panelwear.run.bench import Stand

NOW = datetime(2026, 2, 3, 20, tzinfo=UTC)


def interrupted(folder: Path, status: str) -> checkpoint.Checkpoint:
    new_panel(folder, PanelSpec("harbour-desk", 320, 200, (320.0, 200.0)))
    found = checkpoint.open_or_create(folder, "harbour-desk", 500, None, NOW)
    found.begin_session(sequence="spot", source=b"name = 'spot'\n", seed=1, now=NOW, facts={"steps": 19})
    found.session["status"] = status
    found.save()
    return found


@pytest.mark.parametrize("status", ["stopped", "running"])
def test_an_interrupted_session_is_said_and_the_checkpoint_stays_open(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], status: str
) -> None:
    found = interrupted(tmp_path / "desk", status)

    assert main(["close", str(tmp_path / "desk")]) == 2

    assert "'panelwear resume' finishes it" in capsys.readouterr().err
    assert not checkpoint.load(found.directory).is_closed


def test_it_is_closed_as_it_is_when_asked_to(tmp_path: Path) -> None:
    found = interrupted(tmp_path / "desk", "stopped")

    assert main(["close", str(tmp_path / "desk"), "--as-it-is"]) == 0

    assert checkpoint.load(found.directory).is_closed


def test_a_finished_one_is_closed(tmp_path: Path) -> None:
    found = interrupted(tmp_path / "desk", "done")

    assert main(["close", str(tmp_path / "desk")]) == 0

    assert checkpoint.load(found.directory).is_closed


@pytest.mark.parametrize("damage", ["shortened", "deleted", "edited", "longer"])
def test_readings_that_are_not_those_that_were_written_are_not_sealed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], damage: str
) -> None:
    stand = Stand(tmp_path / "desk")
    run_checkpoint(stand.bench(), stand.job())
    path = stand.checkpoint.readings_path
    lines = path.read_bytes().splitlines(keepends=True)
    if damage == "deleted":
        path.unlink()
    else:
        changed = {
            "shortened": lines[:8],
            "edited": [*lines[:5], lines[5].replace(b",ok,", b",retried,"), *lines[6:]],
            "longer": [*lines, lines[-1].replace(b"16,1,", b"17,1,", 1)],
        }
        path.write_bytes(b"".join(changed[damage]))

    assert main(["close", str(stand.folder)]) == 2

    said = capsys.readouterr().err
    assert {"deleted": "is gone; 16 readings", "longer": "1 reading more"}.get(damage, "its first 16 readings") in said
    assert "stays open" in said
    assert not checkpoint.load(stand.checkpoint.directory).is_closed
    assert main(["close", str(stand.folder), "--as-it-is"]) == 0
    assert main(["check", str(stand.folder)]) == 2


def test_photographs_that_can_be_gone_on_with_are_not_sealed_by_mistake(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "desk"
    found = interrupted(folder, "done")
    source = shoots.LISTS.find("short").read_bytes()
    keep_list(found.directory, "shoot-1", source)
    shots = (ShotRecord("title-card", "title-card", 1, skipped=True), ShotRecord("dots", "dots", 2))
    digest = hashlib.sha256(source).hexdigest()
    begun = "2026-02-03T20:00:00.000Z"
    save_shoot(found.directory, ShootRecord(FORMAT, "shoot-1", "short", digest, "stopped", 0, begun, shots))

    assert main(["close", str(folder)]) == 2
    assert "shoot-1 was interrupted, 1 of 2 photographs are taken" in capsys.readouterr().err

    assert main(["close", str(folder), "--as-it-is"]) == 0
    assert "shoots/shoot-1.json" in checkpoint.load(found.directory).record["digests_at_close"]
