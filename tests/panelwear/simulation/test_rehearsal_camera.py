"""Photographs of a rehearsal: the program's own shoot, a simulated camera before it, the truth beside."""

from __future__ import annotations

import json
import sys
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
import rawpy
import zxingcpp

from panelwear.camera.shots import ShootLabel, label_of
from panelwear.cli import main
from panelwear.errors import UsageError
from panelwear.folder.checkpoint import Checkpoint, all_of
from panelwear.folder.shoots import ShootRecord, shoot_faults, shoots_of
from panelwear.simulation.rehearsal import Wish, check, make_panel_folder, rehearse
from panelwear.simulation.rehearsal_camera import CHECKPOINT_BYTES, FRAME_PX

TINY = str(Path(__file__).with_name("tiny.toml"))
EXTRA = ("rawpy", "tifffile", "segno", "zxingcpp", "skimage")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Checkpoint, ShootRecord]:
    folder = tmp_path_factory.mktemp("photographed")
    truth = folder / "true-photographs"
    (done,) = rehearse(make_panel_folder(folder / "harbour-desk"), Wish(1, TINY, (2000.0,), truth), lambda _: None)
    assert done.photographs == 21
    (found,) = all_of(folder / "harbour-desk")
    (record,) = shoots_of(found.directory)
    return truth, found, record


def photographs(found: Checkpoint) -> list[Path]:
    return sorted((found.directory / "photos").glob("*.dng"))


def test_a_closed_checkpoint_holds_a_whole_shoot_and_its_photographs(
    made: tuple[Path, Checkpoint, ShootRecord],
) -> None:
    _, found, record = made
    assert found.is_closed and not found.changed_since_close()
    assert record.status == "done" and record.missing is None and not any(one.skipped for one in record.shots)
    assert shoot_faults(found.directory) == ()
    sealed = found.record["digests_at_close"]
    assert {f"photos/{path.name}" for path in photographs(found)} <= set(sealed)
    assert len(photographs(found)) == sum(one.frames for one in record.shots)


def test_each_photograph_was_taken_while_its_shot_stood(made: tuple[Path, Checkpoint, ShootRecord]) -> None:
    truth, found, record = made
    told = json.loads((truth / f"{found.name}-shoot-1.json").read_text(encoding="utf-8"))
    stood = {one.name: one for one in record.shots}
    for one in told["photographs"]:
        shot = stood[one["shot"]]
        assert shot.from_utc is not None and shot.to_utc is not None
        begins = datetime.fromisoformat(one["taken"])
        ends = begins + timedelta(seconds=one["exposure_s"])
        assert datetime.fromisoformat(shot.from_utc) <= begins and ends <= datetime.fromisoformat(shot.to_utc)
        assert one["exposure_s"] == (shot.exposure_s or one["exposure_s"])
    assert [one["file"] for one in told["photographs"]] == [path.name for path in photographs(found)]


def test_the_first_photograph_says_what_the_others_are_of(made: tuple[Path, Checkpoint, ShootRecord]) -> None:
    _, found, record = made
    with rawpy.imread(str(photographs(found)[0])) as raw:
        assert raw.sizes.width, raw.sizes.height == FRAME_PX
        greens = raw.raw_image_visible[0::2, 1::2].astype(float)
    seen = np.clip((greens - 512) / (greens.max() - 512) * 255, 0, 255).astype(np.uint8)
    (code,) = zxingcpp.read_barcodes(seen, formats=zxingcpp.BarcodeFormat.QRCode)
    names = tuple(one.name for one in record.shots[1:])
    assert label_of(code.text) == ShootLabel("harbour-desk", found.name, "shoot-1", names)


def test_no_field_is_saturated_and_none_is_dark(made: tuple[Path, Checkpoint, ShootRecord]) -> None:
    truth, found, _ = made
    told = json.loads((truth / f"{found.name}-shoot-1.json").read_text(encoding="utf-8"))
    for one in told["photographs"]:
        if not one["shot"].startswith(("grey", "red", "green", "blue")):
            continue
        with rawpy.imread(str(found.directory / "photos" / one["file"])) as raw:
            share = (raw.raw_image_visible - 512.0) / (raw.white_level - 512)
        assert 0.15 < np.quantile(share, 0.995) < 0.95, one["shot"]


def test_photographs_of_a_checkpoint_fit_the_room_that_is_asked_for(
    made: tuple[Path, Checkpoint, ShootRecord],
) -> None:
    truth, found, _ = made
    paths = [*photographs(found), *truth.iterdir()]
    assert 0.7 * CHECKPOINT_BYTES < sum(path.stat().st_size for path in paths) < CHECKPOINT_BYTES


def test_without_the_extra_the_camera_says_what_to_install_and_nothing_is_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in EXTRA:
        monkeypatch.setitem(sys.modules, name, None)
    with pytest.raises(UsageError, match=r'pip install -e "\.\[camera\]"'):
        check(Wish(1, TINY, (0.0,), tmp_path / "truth"))
    out = tmp_path / "rehearsal"
    assert main(["rehearse", "--camera", "--out", str(out), "--sequence", TINY]) == 2
    assert 'pip install -e ".[camera]"' in capsys.readouterr().err
    assert not out.exists()


def test_a_plain_rehearsal_needs_none_of_the_extra(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in EXTRA:
        monkeypatch.setitem(sys.modules, name, None)
    (done,) = rehearse(make_panel_folder(tmp_path / "harbour-desk"), Wish(1, TINY, (0.0,)), lambda _: None)
    assert done.readings > 50 and done.photographs == 0
    assert list((done.checkpoint.directory / "photos").iterdir()) == []


def test_photographs_of_an_earlier_rehearsal_make_room_for_the_next(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "rehearsal"
    monkeypatch.setattr("panelwear.simulation.rehearsal.QUICK_HOURS", (0.0,))
    words = ["rehearse", "--out", str(out), "--sequence", TINY, "--quick"]
    assert main([*words, "--camera"]) == 0
    assert "The photographs are simulated too" in (out / "about.txt").read_text(encoding="utf-8")
    assert len(list(out.glob("harbour-desk/checkpoints/*/photos/sim_*.dng"))) == 21
    assert len(list((out / "true-photographs").iterdir())) == 2
    assert main(words) == 0
    assert list(out.glob("harbour-desk/checkpoints/*/photos/*")) == []
    assert not (out / "true-photographs").exists()
