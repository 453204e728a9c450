"""The rehearsal's folder: own things are replaced, anybody else's never."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from panelwear.errors import StorageFault
from panelwear.simulation.rehearsal_folder import MARK, PANEL, PICTURES, TRUTH, finish, prepare


def filled(folder: Path) -> Path:
    prepare(folder)
    (folder / PANEL / "checkpoints").mkdir(parents=True)
    (folder / PANEL / "panel.toml").write_text("name = 'x'\n", encoding="utf-8")
    (folder / PICTURES / "ramp.png").write_bytes(b"png")
    (folder / TRUTH).write_text("{}", encoding="utf-8")
    finish(folder, {"seed": 1})
    return folder


def test_a_fresh_folder_is_made_and_marked(tmp_path: Path) -> None:
    folder = filled(tmp_path / "rehearsal")
    mark = json.loads((folder / MARK).read_text(encoding="utf-8"))
    assert mark["status"] == "done"
    assert set(mark["files"]) == {f"{PANEL}/panel.toml", f"{PICTURES}/ramp.png", TRUTH}


def test_an_empty_folder_will_do(tmp_path: Path) -> None:
    (tmp_path / "rehearsal").mkdir()
    prepare(tmp_path / "rehearsal")
    assert (tmp_path / "rehearsal" / PICTURES).is_dir()


def test_running_again_removes_only_its_own(tmp_path: Path) -> None:
    folder = filled(tmp_path / "rehearsal")
    (folder / "my-notes.txt").write_text("keep me", encoding="utf-8")
    prepare(folder)
    assert not (folder / PANEL).exists()
    assert not (folder / TRUTH).exists()
    assert (folder / "my-notes.txt").read_text(encoding="utf-8") == "keep me"


def test_a_folder_with_other_things_is_refused_and_left_alone(tmp_path: Path) -> None:
    folder = tmp_path / "holiday"
    folder.mkdir()
    (folder / "harbour-desk").mkdir()
    (folder / "sea.jpg").write_bytes(b"jpg")
    with pytest.raises(StorageFault, match=r"holds 'harbour-desk', 'sea\.jpg', which no rehearsal made"):
        prepare(folder)
    assert (folder / "sea.jpg").read_bytes() == b"jpg"
    assert not (folder / MARK).exists()


def test_a_file_added_to_a_rehearsal_is_refused(tmp_path: Path) -> None:
    folder = filled(tmp_path / "rehearsal")
    (folder / PANEL / "photo.jpg").write_bytes(b"jpg")
    with pytest.raises(StorageFault, match=r"photo\.jpg', which no rehearsal made"):
        prepare(folder)
    assert (folder / PANEL / "panel.toml").exists()


def test_a_file_changed_since_is_refused(tmp_path: Path) -> None:
    folder = filled(tmp_path / "rehearsal")
    (folder / PANEL / "panel.toml").write_text("name = 'mine now'\n", encoding="utf-8")
    with pytest.raises(StorageFault, match=r"panel\.toml', which was changed since the rehearsal"):
        prepare(folder)
    assert "mine now" in (folder / PANEL / "panel.toml").read_text(encoding="utf-8")


def test_what_an_interrupted_rehearsal_left_is_replaced(tmp_path: Path) -> None:
    folder = tmp_path / "rehearsal"
    prepare(folder)
    (folder / PANEL / "checkpoints").mkdir(parents=True)
    (folder / PANEL / "panel.toml").write_text("half", encoding="utf-8")
    prepare(folder)
    assert not (folder / PANEL).exists()


@pytest.mark.parametrize("text", ["not json", '{"format": "something else"}', "[]"])
def test_a_foreign_mark_is_refused(tmp_path: Path, text: str) -> None:
    (tmp_path / MARK).write_text(text, encoding="utf-8")
    with pytest.raises(StorageFault, match="name another folder with --out"):
        prepare(tmp_path)


def test_a_file_in_the_folders_place_is_refused(tmp_path: Path) -> None:
    (tmp_path / "rehearsal").write_text("x", encoding="utf-8")
    with pytest.raises(StorageFault, match="is a file"):
        prepare(tmp_path / "rehearsal")
