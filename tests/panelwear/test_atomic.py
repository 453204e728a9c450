"""Files are written whole, with the person's umask, and never over what the program did not make."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from panelwear.atomic import clean_left_over, refuse_foreign, write_out, write_whole
from panelwear.errors import UsageError


def ours(head: bytes) -> bool:
    return head.startswith(b"ours")


def test_the_umask_decides_who_may_read_a_new_file(tmp_path: Path) -> None:
    before = os.umask(0o077)
    try:
        write_whole(tmp_path / "a", b"x")
    finally:
        os.umask(before)
    assert (tmp_path / "a").stat().st_mode & 0o777 == 0o600
    (tmp_path / "a").chmod(0o640)
    write_whole(tmp_path / "a", b"y")
    assert (tmp_path / "a").stat().st_mode & 0o777 == 0o640


def test_a_name_as_long_as_the_system_allows_is_written(tmp_path: Path) -> None:
    write_whole(tmp_path / ("n" * 250), b"x")
    assert [p.name for p in tmp_path.iterdir()] == ["n" * 250]


def test_only_a_file_of_the_same_kind_is_written_over(tmp_path: Path) -> None:
    target = tmp_path / "out"
    write_out(target, b"ours 1", ours, "thing")
    write_out(target, b"ours 2", ours, "thing")
    assert target.read_bytes() == b"ours 2"
    target.write_bytes(b"a letter")
    with pytest.raises(UsageError, match="is no thing; it is not overwritten"):
        write_out(target, b"ours 3", ours, "thing")
    assert target.read_bytes() == b"a letter"


def test_nothing_is_written_into_a_checkpoint_or_through_a_link_or_pipe(tmp_path: Path) -> None:
    inside = tmp_path / "checkpoints" / "2026-02-03-h0"
    inside.mkdir(parents=True)
    (inside / "readings.csv").write_bytes(b"row")
    (tmp_path / "link").symlink_to(tmp_path / "elsewhere")
    (tmp_path / "door").symlink_to(inside)
    os.mkfifo(tmp_path / "pipe")
    for path, said in (
        (inside / "new.html", "lies in a checkpoint"),
        (tmp_path / "door" / "new.html", "lies in a checkpoint"),
        (inside.parent / "new.html", "lies in a checkpoint"),
        (tmp_path / "link", "is a link"),
        (tmp_path / "pipe", "is no plain file"),
    ):
        with pytest.raises(UsageError, match=said):
            refuse_foreign(path, ours, "thing")


def test_temporary_files_of_killed_runs_go_and_those_of_living_ones_stay(tmp_path: Path) -> None:
    ended = subprocess.Popen([sys.executable, "-c", "pass"])
    ended.wait()
    names = [f".a.{ended.pid}-0123abcd.tmp", f".a.{os.getpid()}-0123abcd.tmp", "a.tmp", ".a.12-zz.tmp"]
    for name in names:
        (tmp_path / name).write_bytes(b"")
    clean_left_over(tmp_path)
    assert {p.name for p in tmp_path.iterdir()} == set(names[1:])


def test_an_empty_file_is_somebodys_too(tmp_path: Path) -> None:
    target = tmp_path / "out"
    target.write_bytes(b"")
    with pytest.raises(UsageError, match="is empty, so no thing; it is not overwritten"):
        write_out(target, b"ours", ours, "thing")
    assert target.read_bytes() == b""


def test_a_path_without_a_name_is_no_file(tmp_path: Path) -> None:
    for path in (Path(), Path("/")):
        with pytest.raises(UsageError, match="names no file"):
            refuse_foreign(path, ours, "thing")


@pytest.mark.parametrize(
    "name",
    ["panel.toml", "Panel.TOML", "usage.toml", "run.lock", "readings.csv", "maps", "reports", "stability.csv",
     "usage/a.csv", "checkpoints/a.csv", "checkpoints/2027-01-07-h1/a.csv", "set-aside/a.csv"],
)  # fmt: skip
def test_what_a_panel_folder_has_for_itself_is_no_place_to_write(tmp_path: Path, name: str) -> None:
    panel, elsewhere = tmp_path / "desk", tmp_path / "elsewhere"
    for folder in (panel, elsewhere):
        folder.mkdir()
    (panel / "panel.toml").write_bytes(b"")
    (tmp_path / "mine").symlink_to(panel)
    for way in (panel, tmp_path / "mine", elsewhere / ".." / "desk"):
        with pytest.raises(UsageError, match=r"keeps for itself|lies in a checkpoint"):
            refuse_foreign(way / name, lambda _head: True, "thing")
    for free in (panel / "reports" / "usage.toml", panel / "changes.csv", elsewhere / "usage.toml"):
        refuse_foreign(free, ours, "thing")


def test_only_what_has_to_outlive_a_power_cut_is_waited_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    waited: list[int] = []
    monkeypatch.setattr(os, "fsync", waited.append)
    write_whole(tmp_path / "again.json", b"{}", lasting=False)
    assert not waited
    write_whole(tmp_path / "kept.json", b"{}")
    assert waited
    assert (tmp_path / "again.json").read_bytes() == (tmp_path / "kept.json").read_bytes()
