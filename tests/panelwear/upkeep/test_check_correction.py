"""``panelwear check`` and the file with the correction matrix."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from panelwear.colorimetry.correction import Correction, correction_text
from panelwear.upkeep.check import check
from panelwear.upkeep.create import PanelSpec, new_panel

MADE = Correction(np.diag([1.0, 1.1, 1.0]), "four-colour", "harbour-desk", "2026-02-03", "borrowed")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "harbour-desk"
    new_panel(made, PanelSpec("harbour-desk", 1280, 720, (596.7, 335.7)))
    text = (made / "probe.toml").read_text(encoding="utf-8")
    (made / "probe.toml").write_text(
        text.replace('correction = "" ', 'correction = "correction.toml" '), encoding="utf-8"
    )
    (made / "correction.toml").write_text(correction_text(MADE), encoding="utf-8")
    return made


def test_a_correction_file_is_known_by_its_content(folder: Path) -> None:
    found = check(folder / "correction.toml")

    assert (found.what, found.problems) == ("correction file", ())
    assert check(folder).problems == ()


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ("1.1", "1.2", "does not match its sha256"),
        ("[0.0, 1.1, 0.0]", "[0.0, 1.1]", "three rows of three numbers"),
        ("[0.0, 1.1, 0.0]", "[1.0, 0.0, 0.0]", "near-singular"),
        ('date = "2026-02-03"', "date = 5", "date: expected text in quotes, got 5"),
    ],
    ids=["edited", "shape", "singular", "date"],
)
def test_a_faulty_matrix_is_said_by_itself_and_through_the_folder(
    folder: Path, before: str, after: str, said: str
) -> None:
    path = folder / "correction.toml"
    text = path.read_text(encoding="utf-8")
    assert before in text
    path.write_text(text.replace(before, after), encoding="utf-8")

    for checked in (path, folder / "probe.toml", folder):
        assert any(said in problem for problem in check(checked).problems), checked


def test_a_correction_that_is_not_there_is_said(folder: Path) -> None:
    (folder / "correction.toml").unlink()

    assert any("no file 'correction.toml'" in problem for problem in check(folder).problems)
