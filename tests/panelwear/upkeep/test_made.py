"""``check`` on what the program makes but nobody has to check, and on what only looks like a file."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from panelwear.cli import main

MADE = {
    "a.html": (b'<!doctype html><meta name="generator" content="panelwear 0.2">', "report"),
    "a.png": (b"\x89PNG\r\n\x1a\n....", "picture"),
    "a.log": (b"# seconds, > sent  < received", "byte log"),
    "r/rehearsal.json": (b"{}", "rehearsal"),
}


@pytest.mark.parametrize("name", MADE)
def test_what_is_not_to_be_checked_is_told_and_right(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    data, what = MADE[name]
    path = tmp_path / name
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(data)
    asked = path.parent if name.startswith("r/") else path
    assert main(["check", str(asked)]) == 0
    assert f"{what}: there is nothing to check in it" in capsys.readouterr().out


@pytest.mark.parametrize("ending", ["toml", "csv", "json"])
def test_a_pipe_is_not_waited_for_and_no_escape_reaches_the_terminal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], ending: str
) -> None:
    path = tmp_path / f"a\x1b[2J.{ending}"
    os.mkfifo(path)
    assert main(["check", str(path)]) == 2
    said = capsys.readouterr()
    assert "pipe" in said.out
    assert "\x1b" not in said.out + said.err
