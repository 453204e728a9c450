"""``panelwear resume`` where photographs were interrupted, and no inspection."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime
from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.commands import camera_shoot
from panelwear.folder import checkpoint
from panelwear.folder.shoots import FORMAT, ShootRecord, ShotRecord, save_shoot
from panelwear.upkeep.create import PanelSpec, new_panel

NOW = datetime(2026, 2, 3, 20, tzinfo=UTC)
STOOD = {"from_utc": "2026-02-03T18:00:00.000Z", "to_utc": "2026-02-03T18:00:09.000Z"}


@pytest.fixture
def began(monkeypatch: pytest.MonkeyPatch) -> list[argparse.Namespace]:
    found: list[argparse.Namespace] = []

    def run(arguments: argparse.Namespace) -> int:
        found.append(arguments)
        return 0

    monkeypatch.setattr(camera_shoot, "run", run)
    return found


def folder_with(path: Path, *, taken: int, session: str = "") -> Path:
    new_panel(path, PanelSpec("harbour-desk", 320, 200, (320.0, 200.0)))
    found = checkpoint.open_or_create(path, "harbour-desk", 500, None, NOW)
    if session:
        found.begin_session(sequence="spot", source=b"name = 'spot'\n", seed=1, now=NOW, facts={"steps": 19})
        found.session["status"] = session
        found.save()
    names = ("title-card", "dots", "black")
    kinds = ("title-card", "dots", "black")
    shots = tuple(
        ShotRecord(name, kind, 1, **(STOOD if n < taken else {}))
        for n, (name, kind) in enumerate(zip(names, kinds, strict=True))
    )
    save_shoot(
        found.directory, ShootRecord(FORMAT, "shoot-1", "short", "0" * 64, "stopped", 1, STOOD["from_utc"], shots)
    )
    return path


@pytest.mark.parametrize("session", ["", "done"])
def test_it_goes_on_with_the_shoot_that_is_missing_photographs(
    tmp_path: Path, began: list[argparse.Namespace], capsys: pytest.CaptureFixture[str], session: str
) -> None:
    folder = folder_with(tmp_path / "desk", taken=2, session=session)
    assert main(["resume", str(folder), "--screen", "1", "--yes"]) == 0
    assert "shoot-1 was interrupted, 2 of 3 photographs are taken; it goes on." in capsys.readouterr().out
    (own,) = began
    assert (own.directory, own.screen, own.yes, own.dry_run, own.hours) == (folder, 1, True, False, None)


def test_an_interrupted_inspection_comes_first(tmp_path: Path, began: list[argparse.Namespace]) -> None:
    folder = folder_with(tmp_path / "desk", taken=2, session="stopped")
    assert main(["resume", str(folder)]) == 2  # its invented sequence makes no steps
    assert began == []


def test_a_whole_shoot_is_nothing_to_go_on_with(
    tmp_path: Path, began: list[argparse.Namespace], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["resume", str(folder_with(tmp_path / "desk", taken=3))]) == 2
    assert "nothing was begun in this checkpoint yet" in capsys.readouterr().err
    assert began == []


def test_photographs_have_no_summary_as_json(tmp_path: Path, began: list[argparse.Namespace]) -> None:
    assert main(["resume", str(folder_with(tmp_path / "desk", taken=1)), "--json"]) == 2
    assert began == []
