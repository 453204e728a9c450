"""``usage.toml`` is a person's own file: what stands there stays, to the byte, and nothing is left half done."""

from __future__ import annotations

import contextlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from panelwear.cli import main
from panelwear.errors import FileFault, StorageFault
from panelwear.usage import files
from panelwear.usage.files import append_stretches, load_usage
from panelwear.usage.records import Stretch

PANEL = 'name = "desk"\npixels = [40, 30]\nactive_area_mm = [598, 336]\n'
BLOCK = b'[[stretches]]\nsince = "2026-01-01"\nhours_a_day = 8'


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    (tmp_path / "panel.toml").write_text(PANEL)
    shots = tmp_path / "shots"
    shots.mkdir()
    Image.fromarray(np.zeros((30, 40, 3), np.uint8)).save(shots / "a.png")
    return tmp_path


@pytest.mark.parametrize(
    "own",
    [
        b"\xef\xbb\xbf# mine\r\n" + BLOCK.replace(b"\n", b"\r\n") + b"   \r\n\t\r\n",
        b"# mine   \n\n\n" + BLOCK + b"  # by hand",
        b"\xef\xbb\xbf" + BLOCK,
        b"# nothing yet\r\n",
        b"",
    ],
)
def test_what_stands_there_stays_to_the_byte(tmp_path: Path, own: bytes) -> None:
    (tmp_path / "usage.toml").write_bytes(own)
    before = load_usage(tmp_path).stretches

    append_stretches(tmp_path, [Stretch("2026-02-01")])

    raw = (tmp_path / "usage.toml").read_bytes()
    assert raw.startswith(own)
    assert load_usage(tmp_path).stretches == (*before, Stretch("2026-02-01"))
    ends = raw[len(own) :].count(b"\n")
    assert raw[len(own) :].count(b"\r\n") == (ends if b"\r\n" in own else 0)
    append_stretches(tmp_path, [Stretch("2026-03-01")])
    assert (tmp_path / "usage.toml").read_bytes().startswith(raw)


@pytest.mark.parametrize("there", [True, False])
def test_a_link_is_refused_and_stays_one(desk: Path, capsys: pytest.CaptureFixture[str], there: bool) -> None:
    if there:
        (desk / "elsewhere.toml").write_bytes(BLOCK)
    (desk / "usage.toml").symlink_to(desk / "elsewhere.toml")

    assert main(["usage", str(desk), "--since", "always", "--shows", "mid"]) == 2

    assert "usage.toml: is a link, which is not followed" in " ".join(capsys.readouterr().err.split())
    assert (desk / "usage.toml").is_symlink()
    assert (desk / "elsewhere.toml").exists() is there
    assert main(["usage", str(desk)]) == (0 if there else 2)


@pytest.mark.parametrize("own", ['stretches = [{since = "always", hours_a_day = 8}]\n', "stretches = []\n"])
def test_stretches_in_one_list_cannot_be_appended_to(desk: Path, capsys: pytest.CaptureFixture[str], own: str) -> None:
    (desk / "usage.toml").write_text(own)
    assert main(["usage", str(desk)]) == 0

    for words in (["--since=always", "--white=100"], ["--screenshots", str(desk / "shots")], ["--ask"]):
        assert main(["usage", str(desk), *words]) == 2
        said = " ".join(capsys.readouterr().err.split())
        assert "holds its stretches in one list, 'stretches = [...]'" in said
        assert "not TOML" not in said

    assert (desk / "usage.toml").read_text() == own
    assert not (desk / "usage").exists()


@pytest.mark.parametrize("fault", [StorageFault("disk full"), KeyboardInterrupt()])
def test_a_dose_map_goes_where_what_names_it_cannot_be_written(
    desk: Path, monkeypatch: pytest.MonkeyPatch, fault: BaseException
) -> None:
    def fails(path: Path, data: bytes) -> None:
        if path.name == "usage.toml":
            raise fault
        path.write_bytes(data)

    monkeypatch.setattr(files, "write_whole", fails)
    with contextlib.suppress(KeyboardInterrupt):
        assert main(["usage", str(desk), "--screenshots", str(desk / "shots")]) != 0

    assert not (desk / "usage").exists()
    assert not (desk / "usage.toml").exists()


def test_a_dose_map_takes_no_name_that_is_a_link(desk: Path) -> None:
    (desk / "usage").mkdir()
    (desk / "usage" / "screens-1.npz").symlink_to(desk / "gone.npz")

    assert main(["usage", str(desk), "--screenshots", str(desk / "shots")]) == 0

    assert (desk / "usage" / "screens-1.npz").is_symlink()
    assert [one.map for one in load_usage(desk).stretches] == ["screens-2.npz"]


def test_an_appended_file_that_would_say_something_else_is_not_written(tmp_path: Path) -> None:
    with pytest.raises(FileFault):
        append_stretches(tmp_path, [Stretch("")])
    assert not (tmp_path / "usage.toml").exists()
