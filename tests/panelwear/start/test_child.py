"""Commands in processes of their own: what they say is kept and said again, a record is kept apart."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from panelwear.start.child import Child
from panelwear.upkeep.create import PanelSpec, new_panel


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    return new_panel(tmp_path / "desk", PanelSpec("desk", 640, 360, (596.7, 335.7)))


def test_what_a_command_says_is_kept_and_said_again(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    child = Child(("status", str(desk)))
    assert child.wait() == 0
    assert child.lines[0].startswith("desk, 640 x 360 px")
    assert capsys.readouterr().out.splitlines() == child.lines
    assert child.record == ""


def test_a_record_is_kept_whole_and_not_said_again(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    child = Child(("status", str(desk), "--json"), gives_a_record=True)
    assert child.wait() == child.code == 0
    assert json.loads(child.record)["panel"] == "desk"
    assert (child.lines, capsys.readouterr().out) == ([], "")


def test_why_there_is_no_record_is_a_line_like_any_other(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    child = Child(("compare", str(desk), "--json"), gives_a_record=True)
    assert child.wait() == 2
    assert child.record == ""
    assert child.lines[0].startswith("panelwear compare: ")
    assert capsys.readouterr().out.splitlines() == child.lines
