"""Free space is asked for before a run: too little is a sentence, exit code 5, and nothing is written."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.errors import StorageFault
from panelwear.folder import space
from panelwear.run.free_space import refuse_without_room_for
from panelwear.run.plan import Wanted, plan_session
from panelwear.upkeep.create import PanelSpec, new_panel

PROBE = ("--instrument", "scpi-colorimeter", "--probe", "simulated")


def everything(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() if path.is_file() else b"" for path in sorted(folder.rglob("*"))}


def full(monkeypatch: pytest.MonkeyPatch, free: int) -> None:
    monkeypatch.setattr(space, "free_bytes", lambda _: free)


def never(*_: object, **__: object) -> None:
    raise AssertionError("something was opened before the space was asked")


def test_the_bytes_wanted_and_a_margin_have_to_be_free(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    wanted = space.bytes_of_run(1000)
    full(monkeypatch, wanted + space.MARGIN_BYTES)
    space.refuse_without_room(tmp_path, wanted)
    full(monkeypatch, wanted + space.MARGIN_BYTES - 1)
    with pytest.raises(StorageFault, match=r"17\.5 MB are free on this disk, and this may write 17\.5 MB"):
        space.refuse_without_room(tmp_path, wanted)


def test_what_is_read_again_counts_with_the_copy_of_what_was_read() -> None:
    assert space.bytes_of_run(10, 5_000_000) == space.bytes_of_run(10) + 10_000_000


def test_a_folder_that_is_yet_to_be_made_lies_on_the_disk_of_the_one_above(tmp_path: Path) -> None:
    assert space.free_bytes(tmp_path / "not" / "yet") == pytest.approx(shutil.disk_usage(tmp_path).free, rel=0.2)


@pytest.mark.parametrize(
    "words",
    [("inspect", "--hours", "5", *PROBE), ("spot", "--hours", "5", *PROBE), ("look", "--hours", "5")],
    ids=lambda words: words[0],
)
def test_a_full_disk_is_said_before_anything_is_opened_asked_or_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    folder = tmp_path / "harbour-desk"
    new_panel(folder, PanelSpec("harbour-desk", 320, 200, (320.0, 200.0)))
    before = everything(tmp_path)
    full(monkeypatch, 3_000_000)
    monkeypatch.setattr("panelwear.run.opening.open_visible", never)
    monkeypatch.setattr("panelwear.run.opening.opened_probe", never)

    code = main([words[0], str(folder), *words[1:], "--yes"])

    assert code == StorageFault.exit_code
    assert "3.0 MB are free on this disk" in capsys.readouterr().err
    assert everything(tmp_path) == before


def test_what_a_resume_keeps_beside_has_to_have_room_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "harbour-desk"
    new_panel(folder, PanelSpec("harbour-desk", 320, 200, (320.0, 200.0)))
    plan = plan_session(Wanted(folder, "spot", 5.0))
    readings = folder / "checkpoints" / "2026-02-03-h5" / "readings.csv"
    readings.parent.mkdir(parents=True)
    readings.write_bytes(b"x" * 5_000_000)
    full(monkeypatch, 20_000_000)
    refuse_without_room_for(plan)
    with pytest.raises(StorageFault, match="nothing was begun"):
        refuse_without_room_for(plan, resume=True)


def test_a_full_disk_is_said_before_a_rehearsal_removes_or_makes_a_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    full(monkeypatch, 3_000_000)
    assert main(["rehearse", "--out", str(tmp_path / "out"), "--quick"]) == StorageFault.exit_code
    assert "free some space" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_a_file_system_that_does_not_tell_holds_nothing_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def silent(_: Path) -> int:
        raise OSError

    monkeypatch.setattr(space, "free_bytes", silent)
    space.refuse_without_room(tmp_path, 10**15)
