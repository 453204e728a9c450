"""A link inside a panel folder never chooses where is written; links above it are the person's own."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from panelwear.ageing.dose import EXPONENTS
from panelwear.atomic import ARCHIVE, clean_left_over, refuse_links, write_json, write_whole
from panelwear.camera.map_files import MAPS, save_map
from panelwear.cli import main
from panelwear.errors import StorageFault
from panelwear.folder.files import free_folder
from panelwear.folder.lock import hold
from panelwear.folder.set_aside import discard
from panelwear.folder.shoots import keep_list
from panelwear.readings.marks import Mark
from panelwear.readings.row import Row
from panelwear.readings.store import Store
from panelwear.usage.files import append_stretches, map_file
from panelwear.usage.maps import DoseMap
from panelwear.usage.records import ALWAYS, Stretch
from tests.panelwear.archive import panels
from tests.panelwear.camera.test_map_files import made as made_map

SAID = "is a link inside the folder"
LAST = "2027-01-07-h4400"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return panels.make(tmp_path_factory.mktemp("many"), 1, (0.0, 4400.0)) / "panel-0001"


@pytest.fixture
def panel(made: Path, tmp_path: Path) -> Path:
    return shutil.copytree(made, tmp_path / "desk")


def led_away(panel: Path, inside: str) -> Path:
    """Put a link in the place of a folder of the panel; what was in it lies at the link's end, which is returned."""
    end = panel.parent / "somebody's home"
    (panel / inside).parent.mkdir(parents=True, exist_ok=True)
    if (panel / inside).exists():
        (panel / inside).rename(end)
    else:
        end.mkdir()
    (panel / inside).symlink_to(end)
    return end


def listed(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() if p.is_file() else b"" for p in folder.rglob("*")}


@pytest.mark.parametrize(
    ("inside", "command"),
    [
        ("reports", ["report", "DIR"]),
        ("reports", ["report", "DIR", "--figures", "DIR/reports"]),
        ("exports", ["export", "DIR"]),
        ("exports", ["compare", "DIR", "--csv", "changes", "--out", "DIR/exports/changes.csv"]),
        ("exports", ["archive", "DIR", "--out", "DIR/exports/all", "--jobs", "1"]),
        ("set-aside", ["discard", "DIR", LAST, "--why", "a trial"]),
        ("checkpoints", ["discard", "DIR", LAST, "--why", "a trial"]),
        (f"checkpoints/{LAST}", ["amend", "DIR", LAST, "--set", "hours=4500", "--why", "misread"]),
    ],
)
def test_no_command_writes_through_a_link(
    panel: Path, inside: str, command: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    end = led_away(panel, inside)
    before = listed(end)
    code = main([word.replace("DIR", str(panel)) for word in command])
    said = capsys.readouterr()
    assert (code, said.err.count("\n")) == (5, 1), said
    assert f"{panel / inside}: {SAID} {panel}" in said.err
    assert listed(end) == before


def a_map(panel: Path) -> None:
    one = map_file(panel, DoseMap(np.zeros((len(EXPONENTS), 3, 9, 16), np.float32), 80, (1280, 720)))
    append_stretches(panel, [Stretch(ALWAYS)], one)


@pytest.mark.parametrize(
    ("inside", "write"),
    [
        ("usage", a_map),
        ("checkpoints", lambda panel: free_folder(panel / "checkpoints", "2027-02-03-h5000")),
        ("checkpoints/a", lambda panel: write_json(panel / "checkpoints/a/checkpoint.json", {})),
        ("checkpoints/a", lambda panel: Store(panel / "checkpoints/a/readings.csv", Row)),
        ("checkpoints/a", lambda panel: Store(panel / "checkpoints/a/marks.csv", Mark)),
        ("checkpoints/a/shoots", lambda panel: keep_list(panel / "checkpoints/a", "shoot-1", b"")),
        (f"checkpoints/a/{MAPS}", lambda panel: save_map(panel / "checkpoints/a" / MAPS, made_map((1280, 720)))),
        ("set-aside", lambda panel: discard(panel, LAST, why="", by="", now=datetime.now(UTC))),
    ],
)
def test_no_writer_goes_through_a_link(panel: Path, inside: str, write: Callable[[Path], object]) -> None:
    end = led_away(panel, inside)
    before = listed(end)
    with pytest.raises(StorageFault, match=SAID):
        write(panel)
    assert listed(end) == before


def test_a_file_that_is_a_link_is_neither_appended_to_nor_replaced_nor_locked(panel: Path) -> None:
    other = panel.parent / "letter"
    other.write_bytes(b"dear")
    journal, lock = panel / "checkpoints" / LAST / "marks.csv", panel / "run.lock"
    lock.unlink(missing_ok=True)
    for path in (journal, lock):
        path.symlink_to(other)
    with pytest.raises(StorageFault, match=SAID):
        Store(journal, Mark)
    with pytest.raises(StorageFault, match=SAID):
        write_whole(journal, b"x")
    with pytest.raises(StorageFault, match=SAID), hold(panel):
        pass
    assert other.read_bytes() == b"dear"
    assert journal.is_symlink()


def test_a_panel_folder_reached_through_a_link_is_written_to(
    panel: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "above").symlink_to(tmp_path)
    (tmp_path / "mine").symlink_to(panel)
    (tmp_path / "results").mkdir()
    (tmp_path / "out").symlink_to(tmp_path / "results")
    for way in (panel, tmp_path / "mine", tmp_path / "above" / "desk", tmp_path / "above" / "mine"):
        refuse_links(way / "reports" / "a.html")
    monkeypatch.chdir(panel)
    for near in ("reports/a.html", "../out/a.html", "./reports/../reports/a.html"):
        refuse_links(Path(near))
    monkeypatch.chdir(panel / "reports")
    refuse_links(Path("../reports/a.html"))


def test_a_link_to_another_panel_folder_is_a_link_all_the_same(panel: Path, tmp_path: Path) -> None:
    other = shutil.copytree(panel, tmp_path / "other")
    shutil.rmtree(panel / "reports")
    (panel / "reports").symlink_to(other)
    with pytest.raises(StorageFault, match=SAID):
        write_whole(panel / "reports" / "a.html", b"x")
    with pytest.raises(StorageFault, match=SAID):
        write_whole(panel / "checkpoints" / ".." / "reports" / "a.html", b"x")


def test_nothing_is_tidied_up_through_a_link(panel: Path) -> None:
    end = led_away(panel, "reports")
    left = end / ".a.999999999-0123abcd.tmp"
    left.write_bytes(b"")
    clean_left_over(panel / "reports")
    assert left.exists()
    clean_left_over(end)
    assert not left.exists() or os.name != "posix"


def test_an_archive_writes_and_removes_nothing_through_a_link(
    panel: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    root = tmp_path / "root"
    root.mkdir()
    panel.rename(root / "desk")
    end = tmp_path / "home"
    (end / "panel=desk").mkdir(parents=True)
    (end / "panel=desk" / "kept").write_bytes(b"x")
    (root / "archive").mkdir()
    write_json(root / "archive" / ARCHIVE, {"format": "panelwear many panels 1"})
    (root / "archive" / "readings").symlink_to(end)
    assert main(["archive", str(root), "--jobs", "1"]) == 5
    assert f"archive/readings: {SAID}" in capsys.readouterr().err
    assert [*listed(end)] == ["panel=desk", "panel=desk/kept"]
