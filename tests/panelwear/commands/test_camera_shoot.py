"""``panelwear camera shoot`` before anything is shown: the shots, the estimate, what does not fit."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.upkeep.create import PanelSpec, new_panel
from sequences import shoots
from sequences.estimate import plan
from sequences.model import PanelFacts


@pytest.fixture
def panel(tmp_path: Path) -> Path:
    return new_panel(tmp_path / "harbour-desk", PanelSpec("harbour-desk", 1280, 720, (598.0, 336.0)))


def test_a_dry_run_lists_the_shots_and_writes_nothing(panel: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["camera", "shoot", str(panel), "--dry-run"]) == 0
    said = capsys.readouterr().out
    rows = [line.split() for line in said.splitlines()]
    assert [row[0] for row in rows if row and row[0].startswith("grey")] == [
        "grey-5cd", "grey-20cd", "grey-50cd", "grey-120cd"]  # fmt: skip
    assert ["grey-50cd", "8", "123", "50", "1", "assumed-response"] in rows
    assert ["red-c128", "8", "128", "0", "0", "1", "code"] in rows
    assert list((panel / "checkpoints").iterdir()) == []


def test_its_time_and_light_are_the_estimate_s(panel: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["camera", "shoot", str(panel), "--dry-run", "--poses"])
    said = " ".join(capsys.readouterr().out.split())
    facts = PanelFacts(1280, 720, (598.0, 336.0))
    step = shoots.as_step("usual", shoots.source_of("usual")[1], facts, poses=True)
    effort = plan((step,), facts)
    assert f"about {effort.hold_minutes:.0f} min; light dose as {effort.dose_h:.2f} h of 120 cd/m² white" in said
    assert f"{len(step.shots) + 1} photographs, {sum(one.frames for one in step.shots) + 1} frames in all" in said
    assert effort.dose_h > 0.01


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--list", "usul"), "did you mean 'usual'"),
        (("--hours", "-3"), "hours of use lie within"),
        ((), "say the panel's hours of use with --hours H"),
    ],
)
def test_what_does_not_fit_is_said_before_the_screen_opens(
    panel: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], told: str
) -> None:
    assert main(["camera", "shoot", str(panel), *words]) == 2
    assert told in " ".join(capsys.readouterr().err.split())
    assert list((panel / "checkpoints").iterdir()) == []


def test_a_panel_too_dark_for_every_field_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    dim = new_panel(tmp_path / "dim", PanelSpec("dim", 1280, 720, (598.0, 336.0), peak_cd_m2=40.0))
    assert main(["camera", "shoot", str(dim), "--dry-run", "--list", "short"]) == 2
    assert "no field of it is within this panel's reach" in capsys.readouterr().err
