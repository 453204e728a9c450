"""A panel that was only photographed has a report; it says what is missing, at a gain that is the same everywhere."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.errors import UsageError
from panelwear.report.build import prepared
from panelwear.simulation.rehearsal import Wish, make_panel_folder, rehearse
from tests.panelwear.camera.photographed import add_maps

TINY = str(Path(__file__).parents[1] / "simulation" / "tiny.toml")


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = make_panel_folder(tmp_path_factory.mktemp("photographed") / "harbour-desk")
    rehearse(folder, Wish(1, TINY, (0.0, 4400.0)), lambda _line: None)
    add_maps(folder)
    return folder


@pytest.fixture
def folder(made, tmp_path):
    return Path(shutil.copytree(made, tmp_path / "harbour-desk"))


def without_readings(folder: Path) -> Path:
    """Leave of every checkpoint its record and its maps."""
    for checkpoint in (folder / "checkpoints").iterdir():
        for path in checkpoint.iterdir():
            if path.is_file() and path.name != "checkpoint.json":
                path.unlink()
        record = json.loads((checkpoint / "checkpoint.json").read_text(encoding="utf-8"))
        kept = ("format", "software", "panel", "hours", "cycles", "started_utc")
        record = {key: record[key] for key in kept} | {"status": "open", "answers": {}, "sessions": []}
        (checkpoint / "checkpoint.json").write_text(json.dumps(record), encoding="utf-8")
    return folder


def test_a_report_of_photographs_alone_says_what_is_missing(folder, capsys):
    without_readings(folder)
    out = folder / "report.html"
    assert main(["report", str(folder), "--out", str(out)]) == 0
    page = " ".join(out.read_text(encoding="utf-8").split())
    count = len(list((folder / "checkpoints").iterdir()))
    assert f"Nothing was read with a probe yet; these are photographs alone, of {count} checkpoints." in page
    assert "changed most of the zones, by" in page and "Zone that changed most: vessel-list" in page
    assert "need readings, which &#39;panelwear inspect&#39; takes" in page or "which 'panelwear inspect' takes" in page
    assert '<section id="photographs">' in page and '<section id="light">' not in page
    assert "of use" in page and "Regions that photographs found and no zone names" in page
    capsys.readouterr()
    assert main(["report", str(folder), "--markdown"]) == 0
    said = capsys.readouterr().out
    assert "photographs alone" in said and "vessel-list" in said


def test_one_checkpoint_of_photographs_alone_has_a_report_too(folder):
    _, *others = sorted((without_readings(folder) / "checkpoints").iterdir())
    for path in others:
        shutil.rmtree(path)
    assert main(["report", str(folder), "--out", str(folder / "report.html")]) == 0
    page = " ".join((folder / "report.html").read_text(encoding="utf-8").split())
    assert "photographs alone, of 1 checkpoint." in page
    assert "the next checkpoint" in page and "photographs will be compared with these" in page
    assert main(["report", str(folder), "--figures", str(folder / "figures")]) == 0
    assert any(path.name.startswith("photo-") for path in (folder / "figures").iterdir())


def test_without_maps_the_report_says_that_photographs_have_to_be_read(folder, capsys):
    for checkpoint in (without_readings(folder) / "checkpoints").iterdir():
        shutil.rmtree(checkpoint / "maps")
    assert main(["report", str(folder)]) == UsageError.exit_code
    assert "camera read" not in capsys.readouterr().err
    (checkpoint / "photos").mkdir(exist_ok=True)
    (checkpoint / "photos" / "a.dng").write_bytes(b"x")
    assert main(["report", str(folder)]) == UsageError.exit_code
    assert "'panelwear camera read' makes maps of the photographs in photos/" in " ".join(
        capsys.readouterr().err.split()
    )


@pytest.mark.parametrize("gain", ["1", "0", "-3", "101", "nan"])
def test_a_gain_that_shows_nothing_is_refused(made, gain, capsys):
    assert main(["report", str(made), f"--gain={gain}"]) == UsageError.exit_code
    assert "--gain" in capsys.readouterr().err


def test_a_gain_of_ones_own_stands_in_names_titles_and_pictures_of_all_months(made):
    inputs, report = prepared(made, readings=False, gain=20)
    exaggerated = [view for view in inputs.views if view.gain != 1]
    assert {view.gain for view in exaggerated} == {20} and all(view.key.endswith("x20") for view in exaggerated)
    assert all("× 20" in view.title for view in exaggerated)
    photos = next(section.photos for section in report.sections if section.key == "photographs")
    assert any("exaggerated × 20" in photo.title for photo in photos)
    usual, _ = prepared(made, readings=False)
    assert {view.gain for view in usual.views} == {1, 8}
