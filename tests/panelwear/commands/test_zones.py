"""``panelwear zones``: the table, and what is refused before a screen is opened."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.commands.zones import probe_of
from panelwear.folder.lock import hold
from panelwear.folder.panel import load_panel
from tests.panelwear.zoning.hand import ZONES, panel_folder


def test_the_zones_are_listed_without_a_screen(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    panel_folder(tmp_path, *ZONES)
    assert main(["zones", str(tmp_path), "--list"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines[:5]] == ["zone", "px", "chart", "badge", "list"]
    assert "93.2 x 46.6" in lines[3] and lines[6] == "aperture: 10 mm"


def test_an_aperture_that_is_not_stated_is_assumed_and_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    panel_folder(tmp_path, *ZONES)
    stated = (tmp_path / "probe.toml").read_text()
    assert not probe_of(load_panel(tmp_path)).assumed
    (tmp_path / "probe.toml").write_text("\n".join(x for x in stated.splitlines() if "aperture_mm" not in x))
    assert main(["zones", str(tmp_path), "--list"]) == 0
    assert "aperture: 10 mm (assumed)" in capsys.readouterr().out
    (tmp_path / "probe.toml").unlink()
    assert probe_of(load_panel(tmp_path)).assumed


@pytest.mark.parametrize("more", [[], ["--list"]])
def test_a_folder_that_is_none_is_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], more: list[str]
) -> None:
    assert main(["zones", str(tmp_path), *more]) == 2
    assert "holds no panel.toml" in capsys.readouterr().err


def test_a_picture_that_is_none_and_a_run_that_goes_on_are_said_before_the_screen(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    panel_folder(tmp_path)
    (tmp_path / "no.png").write_text("x")
    assert main(["zones", str(tmp_path), "--trace", str(tmp_path / "no.png")]) == 2
    assert "is no PNG or JPEG" in capsys.readouterr().err
    with hold(tmp_path):
        assert main(["zones", str(tmp_path)]) == 5
    assert "another panelwear run" in capsys.readouterr().err
