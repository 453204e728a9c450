"""What an inspecting command ends with when stored files it stands beside are not as they were written."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import pytest

from panelwear.cli import main
from panelwear.folder import checkpoint
from panelwear.run import opening
from tests.panelwear.report import desk

BASELINE, NEWEST = "2026-01-05-h0", "2027-01-07-h4400"


@pytest.mark.parametrize("edited", [False, True])
def test_a_spot_beside_an_edited_checkpoint_says_so_first_and_ends_with_3(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, edited: bool
) -> None:
    panel_dir = desk.folder(tmp_path / "harbour-desk", (0.0, 4400.0))
    newest = checkpoint.find(panel_dir, NEWEST)
    outcome = SimpleNamespace(rows=newest.rows(), checkpoint=newest, session=1)
    monkeypatch.setattr(opening, "carry_out", lambda *_: outcome)
    if edited:
        path = panel_dir / "checkpoints" / BASELINE / "readings.csv"
        path.write_bytes(path.read_bytes().replace(b",ok,", b",retried,", 1))

    code = main(["spot", str(panel_dir), "--hours", "4400", "--no-probe"])

    said = capsys.readouterr().out
    assert code == (3 if edited else 0)
    assert said.startswith(f"{BASELINE}/readings.csv: was changed after the checkpoint was closed.") == edited
    assert ("last checkpoint" in said) == (not edited)
