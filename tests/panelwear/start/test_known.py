"""The list of folders opened before: written by every command that opens one, and never in anybody's way."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path, PurePosixPath

import pytest

from panelwear.cli import main
from panelwear.errors import FileFault
from panelwear.folder import user_state
from panelwear.start import known, look_up
from panelwear.start.without_screen import parts_of
from panelwear.upkeep.create import PanelSpec, new_panel
from tests.panelwear.telling.unbroken import unbroken

TODAY = date(2026, 2, 3)


@pytest.fixture
def listed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    return known.known_file()


def made(folder: Path) -> Path:
    return new_panel(folder, PanelSpec("harbour-desk", 320, 200, (320.0, 200.0)))


def test_every_command_that_opens_a_folder_puts_it_first(listed: Path, tmp_path: Path) -> None:
    first, second = made(tmp_path / "first"), tmp_path / "second"
    assert main(["status", str(first)]) == 0
    assert main(["new", str(second), "--name=b", "--pixels=320x200", "--area-mm=320x200"]) == 0
    assert known.read_known(listed) == (str(second), str(first))
    assert main(["close", str(first)]) == 2
    assert known.read_known(listed) == (str(first), str(second))


def test_a_folder_that_is_no_panel_folder_is_not_remembered(listed: Path, tmp_path: Path) -> None:
    assert main(["status", str(tmp_path)]) == 2
    assert not listed.exists()


def test_a_list_that_cannot_be_written_stops_no_command(listed: Path, tmp_path: Path) -> None:
    listed.parent.parent.write_text("a file where the folder belongs", encoding="utf-8")
    assert main(["status", str(made(tmp_path / "desk"))]) == 0


@pytest.mark.parametrize("damaged", ["{", "[]", '{"panels": [1]}', '{"panels": "x"}', ""])
def test_a_damaged_list_is_kept_aside_and_said(listed: Path, tmp_path: Path, damaged: str) -> None:
    folder = made(tmp_path / "desk")
    listed.parent.mkdir(parents=True)
    listed.write_text(damaged, encoding="utf-8")
    with pytest.raises(FileFault):
        known.read_known(listed)
    assert any("panels.json" in remark for remark in look_up.look_up((), TODAY).remarks)
    known.remember(folder)
    assert known.read_known(listed) == (str(folder),)
    assert (listed.parent / "damaged-panels.json").read_text(encoding="utf-8") == damaged


def test_the_list_does_not_grow_without_end(listed: Path, tmp_path: Path) -> None:
    known.write_known(listed, tuple(f"/old/{n}" for n in range(known.MOST)))
    known.remember(made(tmp_path / "desk"))
    found = known.read_known(listed)
    assert (len(found), found[0], found[-1]) == (known.MOST, str(tmp_path / "desk"), f"/old/{known.MOST - 2}")


def test_what_is_forgotten_stays_on_the_disk(listed: Path, tmp_path: Path) -> None:
    folder = made(tmp_path / "desk")
    known.remember(folder)
    known.forget(str(folder))
    assert known.read_known(listed) == ()
    assert (folder / "panel.toml").exists()


@pytest.mark.parametrize(
    ("environ", "platform", "folder"),
    [
        ({}, "linux", "/home/them/.local/state/panelwear"),
        ({"XDG_STATE_HOME": "/x"}, "linux", "/x/panelwear"),
        ({"XDG_STATE_HOME": "relative"}, "linux", "/home/them/.local/state/panelwear"),
        ({}, "darwin", "/home/them/Library/Application Support/panelwear"),
    ],
)
def test_the_list_lies_where_the_systems_rules_say(environ: dict[str, str], platform: str, folder: str) -> None:
    # XDG Base Directory Specification 0.8: $XDG_STATE_HOME, else ~/.local/state; a relative path is to be ignored.
    assert PurePosixPath(user_state.state_folder(environ, platform, Path("/home/them"))) == PurePosixPath(folder)


def test_a_folder_that_is_gone_is_told_and_one_with_faults_too(listed: Path, tmp_path: Path) -> None:
    folder = made(tmp_path / "desk")
    known.write_known(listed, (str(folder), str(tmp_path / "gone")))
    fine, gone = look_up.look_up((), TODAY).panels
    assert (fine.name, fine.doing, fine.readable) == ("harbour-desk", "inspect", True)
    assert (gone.doing, gone.readable) == ("gone", False)
    (folder / "panel.toml").write_text("name = 1\n", encoding="utf-8")
    broken = look_up.facts_of(str(folder), TODAY)
    assert broken.doing == "unread"
    assert broken.next_step.startswith("put right: panel.toml")


def test_without_a_screen_the_same_list_is_printed_with_commands(
    listed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "SDL_VIDEODRIVER"):
        monkeypatch.delenv(name, raising=False)
    known.write_known(listed, (str(made(tmp_path / "desk")), str(tmp_path / "gone")))
    assert main([]) == 0
    said = capsys.readouterr().out
    assert "there is no display here" in said
    assert f"panelwear inspect {tmp_path}/desk --hours H" in said
    assert "the folder is gone" in said
    assert "panelwear new DIR" in said
    assert unbroken(parts_of(look_up.look_up((), TODAY), "x"))[1:] == said.splitlines()[1:]
    assert "panelwear resume" not in said


def test_a_folders_content_is_listed_without_what_is_hidden(tmp_path: Path) -> None:
    made(tmp_path / "desk")
    (tmp_path / ".hidden").mkdir()
    (tmp_path / "Other").mkdir()
    (tmp_path / "file").write_text("", encoding="utf-8")
    found = look_up.list_folder(str(tmp_path))
    assert [(name, is_panel) for name, _, is_panel in found.folders] == [("desk", True), ("Other", False)]
    assert found.parent == str(tmp_path.parent)
    assert look_up.list_folder(str(tmp_path / "desk")).is_panel
    assert "cannot be read" in look_up.list_folder(str(tmp_path / "none")).fault


def test_the_probe_of_the_last_session_is_known(tmp_path: Path) -> None:
    folder = made(tmp_path / "desk")
    record = {"sessions": [{"probe": {"link": "keyboard", "instrument": ""}}, {"probe": {}}]}
    assert look_up.last_probe(folder) == ("", "")
    assert look_up.probe_of(json.loads(json.dumps(record))) == ("", "keyboard")
