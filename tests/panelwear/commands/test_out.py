"""``--out`` and the like: an empty word, the root of a disk and the program's own files are no place to write."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from panelwear.cli import main
from tests.panelwear.archive import panels

OWN = re.compile("keeps for itself|lies in a checkpoint")
TABLES = (
    ["compare", "DIR", "--csv", "changes", "--out"],
    ["usage", "DIR", "--csv", "hours", "--out"],
    ["forecast", "DIR", "--until", "peak 90 %", "--csv", "--out"],
)
FOLDERS = (
    ["export", "DIR", "--out"], ["report", "DIR", "--figures"], ["archive", "DIR", "--out"],
    ["compare", "--all", "DIR", "--out"], ["rehearse", "--out"],
)  # fmt: skip


@pytest.fixture(scope="module")
def panel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return panels.make(tmp_path_factory.mktemp("many"), 1) / "panel-0001"


def refused(command: list[str], panel: Path, out: str, capsys: pytest.CaptureFixture[str]) -> str:
    before = {path: path.stat().st_mtime_ns for path in panel.rglob("*") if path.name != "run.lock"}
    try:
        code = main([*(word.replace("DIR", str(panel)) for word in command), out.replace("DIR", str(panel))])
    except SystemExit as end:
        code = int(end.code or 0)
    said = capsys.readouterr().err
    assert (code, said.count("\n")) == (2, 1), said
    assert {path: path.stat().st_mtime_ns for path in panel.rglob("*") if path.name != "run.lock"} == before
    return said


@pytest.mark.parametrize("command", [*TABLES, *FOLDERS, ["report", "DIR", "--out"]], ids=lambda c: c[0])
def test_an_empty_word_is_no_place(command: list[str], panel: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for out in ("", " "):
        assert "is empty; name where to write" in refused(command, panel, out, capsys)


@pytest.mark.parametrize("command", TABLES, ids=lambda c: c[0])
def test_a_table_is_written_into_a_file(command: list[str], panel: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for out in ("/", "."):
        assert f"{out}: names no file" in refused(command, panel, out, capsys)


@pytest.mark.parametrize("command", FOLDERS[:2], ids=lambda c: c[0])
def test_files_are_not_strewn_over_a_disk(command: list[str], panel: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "/: is the root of a disk" in refused(command, panel, "/", capsys)


@pytest.mark.parametrize("command", TABLES, ids=lambda c: c[0])
@pytest.mark.parametrize("name", ["usage.toml", "run.lock", "panel.toml", "readings.csv", "maps", "checkpoints/a.csv"])
def test_no_table_takes_the_place_of_a_panel_folders_own_file(
    command: list[str], name: str, panel: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert OWN.search(refused(command, panel, f"DIR/{name}", capsys))


@pytest.mark.parametrize("command", FOLDERS, ids=lambda c: " ".join(c[:2]))
@pytest.mark.parametrize("name", ["usage", "checkpoints", "set-aside/all"])
def test_no_folder_is_made_where_a_panel_folder_has_its_own(
    command: list[str], name: str, panel: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert OWN.search(refused(command, panel, f"DIR/{name}", capsys))
